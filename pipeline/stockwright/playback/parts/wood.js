// A board in square cells, in its own frame: each has an upper and a lower height, and is gone where they meet.

const MOST_CELLS = 60000; // of all boards on the bed: a telephone redraws as many without a stutter
const GONE = 0.005; // mm: thinner is air

function makeWood(data, share, step) {
  const xs = data.outline.flat().map((p) => p[0]);
  const ys = data.outline.flat().map((p) => p[1]);
  const [x0, x1] = [Math.min(...xs), Math.max(...xs)];
  const [y0, y1] = [Math.min(...ys), Math.max(...ys)];
  const cell = Math.max(1, Math.sqrt(((x1 - x0) * (y1 - y0)) / share));
  const nx = Math.max(1, Math.ceil((x1 - x0) / cell));
  const ny = Math.max(1, Math.ceil((y1 - y0) / cell));
  const wood = {
    name: data.name, outline: data.outline, x0, y0, cell, nx, ny,
    top: new Float32Array(nx * ny), bottom: new Float32Array(nx * ny),
  };
  const faces = [
    [wood.top, scaled(unpackPath(data.top), step)],
    [wood.bottom, scaled(unpackPath(data.bottom), step)],
  ];
  const along = Array.from({ length: nx }, (_, i) => station(data.x, x0 + (i + 0.5) * cell));
  for (let j = 0; j < ny; j++) {
    const y = y0 + (j + 0.5) * cell;
    const crossings = crossed(data.outline, y);
    const [row, v] = station(data.y, y);
    for (let c = 0; c + 1 < crossings.length; c += 2) {
      const first = Math.max(0, Math.ceil((crossings[c] - x0) / cell - 0.5));
      const last = Math.min(nx - 1, Math.floor((crossings[c + 1] - x0) / cell - 0.5));
      for (let i = first; i <= last; i++)
        for (const [field, heights] of faces)
          field[j * nx + i] = read(heights, data.y.length, along[i][0], along[i][1], row, v, data.x.length);
    }
  }
  return wood;
}

// Where a level line enters and leaves the outline, in order.
function crossed(rings, y) {
  const found = [];
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i++) {
      const [ax, ay] = ring[i];
      const [bx, by] = ring[(i + 1) % ring.length];
      if (ay <= y !== by <= y) found.push(ax + ((y - ay) / (by - ay)) * (bx - ax));
    }
  }
  return found.sort((a, b) => a - b);
}

function station(stations, at) {
  let i = 0;
  while (i < stations.length - 2 && stations[i + 1] <= at) i++;
  if (stations.length < 2) return [0, 0];
  return [i, Math.min(1, Math.max(0, (at - stations[i]) / (stations[i + 1] - stations[i])))];
}

function read(heights, width, i, u, j, v, length) {
  const right = i + 1 < length ? width : 0;
  const up = j + 1 < width ? 1 : 0;
  const k = i * width + j;
  const near = heights[k] + (heights[k + up] - heights[k]) * v;
  const far = heights[k + right] + (heights[k + right + up] - heights[k + right]) * v;
  return near + (far - near) * u;
}

// How a board lies: its matrix (three rows of four) and the way back.
function layOf(m) {
  const back = (x, y, z) => {
    const [dx, dy, dz] = [x - m[3], y - m[7], z - m[11]];
    return [m[0] * dx + m[4] * dy + m[8] * dz, m[1] * dx + m[5] * dy + m[9] * dz];
  };
  return { m, back, upper: m[10] > 0 };
}

function workZ(lay, wood, i, j, height) {
  const m = lay.m;
  return m[8] * (wood.x0 + (i + 0.5) * wood.cell) + m[9] * (wood.y0 + (j + 0.5) * wood.cell) + m[10] * height + m[11];
}

// Take away what a flat cutter of radius r sweeps from p to q, work frame. Says whether any wood went.
function sweep(wood, lay, p, q, r) {
  const { x0, y0, cell, nx, ny, top, bottom } = wood;
  const m = lay.m;
  const [ax, ay] = lay.back(p[0], p[1], p[2]);
  const [bx, by] = lay.back(q[0], q[1], q[2]);
  const i0 = Math.max(0, Math.ceil((Math.min(ax, bx) - r - x0) / cell - 0.5));
  const i1 = Math.min(nx - 1, Math.floor((Math.max(ax, bx) + r - x0) / cell - 0.5));
  const j0 = Math.max(0, Math.ceil((Math.min(ay, by) - r - y0) / cell - 0.5));
  const j1 = Math.min(ny - 1, Math.floor((Math.max(ay, by) + r - y0) / cell - 0.5));
  const [dx, dy, dz] = [bx - ax, by - ay, q[2] - p[2]];
  const long = dx * dx + dy * dy;
  const square = r * r;
  let bite = false;
  for (let j = j0; j <= j1; j++) {
    const y = y0 + (j + 0.5) * cell;
    for (let i = i0; i <= i1; i++) {
      const x = x0 + (i + 0.5) * cell;
      const [ox, oy] = [x - ax, y - ay];
      let z = Math.min(p[2], q[2]);
      if (long < 1e-9) {
        if (ox * ox + oy * oy > square) continue;
      } else {
        // While the disc covers this place, from one share of the way to another, the tip is lowest at one end.
        const middle = (ox * dx + oy * dy) / long;
        const off = ox * ox + oy * oy - middle * middle * long;
        if (off > square) continue;
        const half = Math.sqrt((square - off) / long);
        const [from, to] = [Math.max(0, middle - half), Math.min(1, middle + half)];
        if (from > to) continue;
        if (dz !== 0) z = p[2] + dz * (dz < 0 ? to : from);
      }
      const height = (z - m[8] * x - m[9] * y - m[11]) / m[10];
      const k = j * nx + i;
      if (top[k] - bottom[k] <= GONE) continue;
      if (lay.upper ? height < top[k] : height > bottom[k]) {
        bite = true;
        if (lay.upper) top[k] = Math.max(height, bottom[k]);
        else bottom[k] = Math.min(height, top[k]);
      }
    }
  }
  return bite;
}

// The wood's lower and upper height, work frame, at a place in work x, y; null where there is none.
function woodAt(wood, lay, x, y) {
  const m = lay.m;
  // The board may lean a little: the place is looked up at its middle height, twice.
  let height = (wood.top[0] + wood.bottom[0]) / 2;
  for (let turn = 0; turn < 2; turn++) {
    const z = m[11] + m[10] * height;
    const [bx, by] = lay.back(x, y, z);
    const i = Math.floor((bx - wood.x0) / wood.cell);
    const j = Math.floor((by - wood.y0) / wood.cell);
    if (i < 0 || j < 0 || i >= wood.nx || j >= wood.ny) return null;
    const k = j * wood.nx + i;
    if (turn === 1) {
      if (wood.top[k] - wood.bottom[k] <= GONE) return null;
      const heights = [workZ(lay, wood, i, j, wood.bottom[k]), workZ(lay, wood, i, j, wood.top[k])];
      return lay.upper ? heights : heights.reverse();
    }
    height = (wood.top[k] + wood.bottom[k]) / 2;
  }
  return null;
}
