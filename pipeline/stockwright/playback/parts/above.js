// The bed seen from above: boards shaded by how high they stand, hold-downs, the cutter and its way.

const BEHIND = 240; // steps of the way that are drawn
const AHEAD = 40;
const RIM = 0.25; // mm: a step in height that is drawn as a line

class Above {
  constructor(canvas, course, redraw) {
    Object.assign(this, { canvas, course, redraw, zoom: 1, middle: null, follow: false });
    this.image = document.createElement("canvas");
    this.fingers = new Map();
    this.listen();
  }

  // What there is to see in a setup, work frame.
  bounds(setup) {
    const points = setup.solids.flatMap((solid) => solid.outline);
    const wood = this.woodBounds(setup);
    if (wood) points.push([wood[0], wood[1]], [wood[2], wood[3]]);
    for (const wall of setup.walls) points.push(...wall);
    const s = setup.steps;
    if (!points.length) for (let k = 0; k < s.count; k++) points.push([s.bx[k], s.by[k]]);
    return points.length ? boxOf(points) : [0, 0, 100, 100];
  }

  woodBounds(setup) {
    if (!setup.lays.length) return null;
    return boxOf(setup.lays.flatMap((lay) => lay.wood.outline.flat().map(([x, y]) => this.place(lay, x, y))));
  }

  place(lay, x, y) {
    const m = lay.m;
    return [m[0] * x + m[1] * y + m[3], m[4] * x + m[5] * y + m[7]];
  }

  all() {
    this.zoom = 1;
    this.middle = null;
    this.redraw();
  }

  closer(by, at = null) {
    const before = at ? this.unplace(...at) : null;
    this.zoom = Math.min(40, Math.max(1, this.zoom * by));
    if (this.zoom === 1) this.middle = null;
    else if (!this.middle) this.middle = this.centre.slice();
    if (before && this.middle) {
      this.frame();
      const after = this.unplace(...at);
      this.middle = [this.middle[0] + before[0] - after[0], this.middle[1] + before[1] - after[1]];
    }
    this.redraw();
  }

  shift(dx, dy) {
    if (!this.middle) return;
    this.middle = [this.middle[0] - dx / this.scale, this.middle[1] + dy / this.scale];
    this.follow = false;
    this.redraw();
  }

  frame() {
    const [x0, y0, x1, y1] = this.bounds(this.course.here);
    const [wide, high] = [this.canvas.clientWidth, this.canvas.clientHeight];
    this.scale = this.zoom * Math.min((wide - 36) / (x1 - x0), (high - 56) / (y1 - y0));
    this.centre = this.middle || [(x0 + x1) / 2, (y0 + y1) / 2];
    const tip = this.course.tip;
    if (this.follow && this.zoom > 1 && tip) this.middle = this.centre = [tip[0], tip[1]];
    this.canvas.style.touchAction = this.zoom > 1 ? "none" : "pan-y";
  }

  toCanvas(x, y) {
    return [
      this.canvas.clientWidth / 2 + (x - this.centre[0]) * this.scale,
      this.canvas.clientHeight / 2 - (y - this.centre[1]) * this.scale,
    ];
  }

  unplace(px, py) {
    return [
      this.centre[0] + (px - this.canvas.clientWidth / 2) / this.scale,
      this.centre[1] - (py - this.canvas.clientHeight / 2) / this.scale,
    ];
  }

  // `axis` and `at`: along which axis the section runs, and where it stands on the other.
  draw(axis, at) {
    this.frame();
    const { ink, wide, high } = fitted(this.canvas);
    const { course, scale } = this;
    const setup = course.here;
    const standing = new Set(course.program ? course.program.standing : []);
    for (const lay of setup.lays) this.board(ink, lay);
    for (const wall of setup.walls) {
      trace(ink, wall.map((p) => this.toCanvas(...p)), false);
      stroke(ink, 1.6, [9, 5]);
    }
    setup.solids.forEach((solid, number) => {
      if (standing.has(number)) this.solid(ink, solid, number);
    });
    this.zero(ink);
    this.sectionMarks(ink, wide, high, axis, at);
    if (course.tip) {
      this.way(ink);
      this.cutter(ink);
    }
    // Words last, so that nothing is drawn over them.
    this.tags(ink, setup.solids, standing);
    const size = wide < 500 ? 12 : 13;
    const [x, y] = course.tip ? this.toCanvas(course.tip[0], course.tip[1]) : [0, 0];
    const away = x < 0 || y < 0 || x > wide || y > high;
    word(ink, away ? "the cutter is beyond this drawing" : "far side", wide / 2, 10, { size, style: SOFT });
    word(ink, "near side, where you stand", wide / 2, high - 10, { size, style: SOFT });
    scaleBar(ink, scale, 10, high - 8, course.data.units);
  }

  // Dark where wood stands high, white where it is as low as this setup makes it.
  board(ink, lay) {
    const { wood, m } = lay;
    const { nx, ny, cell, x0, y0, top, bottom } = wood;
    const [low, high] = this.range(lay);
    const darkest = this.course.here.planes.length ? 104 : 50; // of 255: where no face is cut, no need of contrast
    this.image.width = nx;
    this.image.height = ny;
    const paper = this.image.getContext("2d");
    const dots = paper.createImageData(nx, ny);
    const z = new Float32Array(nx * ny);
    const field = lay.upper ? top : bottom;
    for (let j = 0, k = 0; j < ny; j++)
      for (let i = 0; i < nx; i++, k++)
        z[k] = top[k] - bottom[k] > GONE ? workZ(lay, wood, i, j, field[k]) : -1e6;
    for (let j = 0, k = 0; j < ny; j++) {
      for (let i = 0; i < nx; i++, k++) {
        if (z[k] === -1e6) continue;
        const shade = Math.min(1, Math.max(0, (z[k] - low) / (high - low)));
        let grey = 246 - darkest * shade;
        const beside = i + 1 < nx ? z[k + 1] : z[k];
        const beyond = j + 1 < ny ? z[k + nx] : z[k];
        const jump = Math.max(Math.abs(z[k] - beside), Math.abs(z[k] - beyond));
        if (jump > RIM && jump < 1e5) grey -= 30 + Math.min(60, 40 * jump);
        dots.data[4 * k] = dots.data[4 * k + 1] = dots.data[4 * k + 2] = grey;
        dots.data[4 * k + 3] = 255;
      }
    }
    paper.putImageData(dots, 0, 0);
    const [ox, oy] = this.place(lay, x0, y0);
    const [px, py] = this.toCanvas(ox, oy);
    ink.save();
    const s = cell * this.scale;
    ink.transform(m[0] * s, -m[4] * s, m[1] * s, -m[5] * s, px, py);
    ink.imageSmoothingEnabled = false;
    ink.drawImage(this.image, 0, 0);
    ink.restore();
    // The rough board's outline stays, so that what is gone is seen to be gone.
    for (const ring of wood.outline) {
      trace(ink, ring.map(([x, y]) => this.toCanvas(...this.place(lay, x, y))));
      stroke(ink, 1.2, [2, 3], SOFT);
    }
  }

  // From the lowest plane that this setup makes to the highest wood it finds, work z.
  range(lay) {
    const setup = this.course.here;
    if (!lay.range) lay.range = {};
    if (!lay.range[setup.index]) {
      const kept = setup.kept[0].fields[setup.lays.indexOf(lay)];
      const field = lay.upper ? kept[0] : kept[1];
      let high = -Infinity;
      for (let j = 0, k = 0; j < lay.wood.ny; j++)
        for (let i = 0; i < lay.wood.nx; i++, k++)
          if (kept[0][k] - kept[1][k] > GONE) high = Math.max(high, workZ(lay, lay.wood, i, j, field[k]));
      const low = setup.planes.length ? setup.planes[0] : setup.bed;
      lay.range[setup.index] = [low, Math.max(high, low + 1)];
    }
    return lay.range[setup.index];
  }

  solid(ink, solid, number) {
    const points = solid.outline.map((p) => this.toCanvas(...p));
    trace(ink, points);
    ink.fillStyle = "#fff";
    ink.fill();
    hatch(ink, boxOf(points), number % 2 ? 6 : 7);
    trace(ink, points);
    stroke(ink, solid.kind === "fence" ? 1.8 : 1.3);
  }

  // Where the section is drawn: a stroke at either border.
  sectionMarks(ink, wide, high, axis, at) {
    const [x, y] = this.toCanvas(at, at);
    const ends = axis === 1 ? [[[x, 20], [x, 34]], [[x, high - 34], [x, high - 20]]]
      : [[[2, y], [16, y]], [[wide - 16, y], [wide - 2, y]]];
    for (const end of ends) {
      trace(ink, end, false);
      stroke(ink, 3);
    }
  }

  // The parts of one thing bear one number, as on the sheet; each stands free, or is seen from closer.
  tags(ink, solids, standing) {
    const things = new Map();
    solids.forEach((solid, index) => {
      if (!standing.has(index)) return;
      const box = boxOf(solid.outline.map((p) => this.toCanvas(...p)));
      // A body stands clear of the wood, its arm before it does not.
      things.set(solid.number, [box, ...(things.get(solid.number) || [])]);
    });
    const size = ([x0, y0, x1, y1]) => (x1 - x0) * (y1 - y0);
    const taken = [];
    // The small ones have no choice, so they go first.
    for (const [number, boxes] of [...things].sort((a, b) => size(a[1][0]) - size(b[1][0]))) {
      const half = number < 10 ? 6 : 10;
      const places = boxes.flatMap(([x0, y0, x1, y1]) => [0.5, 0.3, 0.7, 0.15, 0.85].map((share) =>
        x1 - x0 > y1 - y0 ? [x0 + share * (x1 - x0), (y0 + y1) / 2] : [(x0 + x1) / 2, y0 + share * (y1 - y0)]));
      const free = places.find(([x, y]) => !taken.some((t) => Math.abs(t[0] - x) < half + t[2] && Math.abs(t[1] - y) < 13));
      if (!free) continue;
      taken.push([...free, half]);
      word(ink, String(number), ...free, { bold: true });
    }
  }

  zero(ink) {
    const [x, y] = this.toCanvas(0, 0);
    disc(ink, x, y, 7);
    ink.fillStyle = "#fff";
    ink.fill();
    stroke(ink, 2);
    trace(ink, [[x - 11, y], [x + 11, y]], false);
    stroke(ink, 2);
    trace(ink, [[x, y - 11], [x, y + 11]], false);
    stroke(ink, 2);
  }

  way(ink) {
    const { course } = this;
    const s = course.here.steps;
    const now = course.at;
    const program = s.program[now];
    const part = (k, from, to, width, style) => {
      if (s.kind[k] >= TOUCHING || s.program[k] !== program) return;
      const [p, q] = [course.along(k, from), course.along(k, to)];
      trace(ink, [this.toCanvas(p[0], p[1]), this.toCanvas(q[0], q[1])], false);
      stroke(ink, width, s.kind[k] === FAST ? [7, 5] : [], style);
    };
    for (let k = now + 1; k < Math.min(s.count, now + AHEAD); k++) part(k, 0, 1, 0.9, RULE);
    for (let k = Math.max(0, now - BEHIND); k < now; k++) part(k, 0, 1, 1.3, SOFT);
    const made = course.step >= s.count ? 1 : course.part;
    part(now, made, 1, 0.9, RULE);
    part(now, 0, made, 2, INK);
  }

  cutter(ink) {
    const { course, scale } = this;
    const tool = course.tool;
    if (!tool) return;
    const [x, y] = this.toCanvas(course.tip[0], course.tip[1]);
    const radius = (tool.parts[0][0] / 2) * scale;
    // What rides above it and is wider, dashed: it must clear the hold-downs too.
    const widest = Math.max(...tool.parts.map((part) => part[0]));
    if (widest > tool.parts[0][0]) {
      disc(ink, x, y, (widest / 2) * scale);
      stroke(ink, 1.2, [3, 3]);
    }
    for (const part of course.data.attached) {
      trace(ink, part.outline.map(([px, py]) => [x + px * scale, y - py * scale]));
      stroke(ink, 1.2, [3, 3]);
    }
    disc(ink, x, y, radius);
    stroke(ink, 5, [], "#fff");
    disc(ink, x, y, radius);
    ink.fillStyle = course.bite ? "rgba(17,17,17,.34)" : "rgba(255,255,255,.55)";
    ink.fill();
    stroke(ink, 2.6);
    disc(ink, x, y, 2.5);
    ink.fillStyle = INK;
    ink.fill();
  }

  listen() {
    const { canvas, fingers } = this;
    const spot = (event) => {
      const box = canvas.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    };
    canvas.addEventListener("pointerdown", (event) => {
      fingers.set(event.pointerId, spot(event));
      canvas.setPointerCapture(event.pointerId);
    });
    canvas.addEventListener("pointermove", (event) => {
      const before = fingers.get(event.pointerId);
      if (!before) return;
      const now = spot(event);
      const other = [...fingers].find(([id]) => id !== event.pointerId);
      if (other) {
        const [x, y] = other[1];
        const apart = (p) => Math.max(10, Math.hypot(p[0] - x, p[1] - y));
        this.closer(apart(now) / apart(before), [(now[0] + x) / 2, (now[1] + y) / 2]);
      } else {
        this.shift(now[0] - before[0], now[1] - before[1]);
      }
      fingers.set(event.pointerId, now);
    });
    for (const name of ["pointerup", "pointercancel"])
      canvas.addEventListener(name, (event) => fingers.delete(event.pointerId));
    // A wheel turns the page, until the drawing has been touched or Ctrl is held.
    canvas.addEventListener("wheel", (event) => {
      if (!event.ctrlKey && document.activeElement !== canvas) return;
      event.preventDefault();
      this.closer(event.deltaY < 0 ? 1.2 : 1 / 1.2, spot(event));
    }, { passive: false });
  }
}
