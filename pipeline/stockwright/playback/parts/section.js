// A section through the cutter's middle, across or along the bed: wood, hold-downs, the whole assembly.

const BESIDE = 45; // mm: what stands so near the section, but not in it, is drawn dashed
const LOOKS = 40; // places along a section at which wood is looked for
const ABOVE = 16; // pixels kept free for the words over the spindle
const ALONG = 420; // mm of the bed that a section along it shows

class Section {
  constructor(canvas, course) {
    Object.assign(this, { canvas, course, along: false, near: false });
  }

  // The section's axis: 0 where it runs along x, 1 across.
  get axis() {
    return this.along ? 0 : 1;
  }

  frame(bounds, tip, tool) {
    const { course, axis } = this;
    const setup = course.here;
    const [wide, high] = [this.canvas.clientWidth, this.canvas.clientHeight];
    const tall = tool ? Math.max(...tool.parts.map((part) => part[2])) : 60;
    const highest = setup.steps.count ? this.highest(setup) : tip[2];
    let [u0, u1] = [bounds[axis] - 30, bounds[axis + 2] + 30];
    let [z0, z1] = [setup.bed - 16, highest + tall + 4];
    if (this.along) [u0, u1] = [tip[0] - ALONG / 2, tip[0] + ALONG / 2];
    if (this.near) {
      const half = 60;
      [u0, u1] = [tip[axis] - half, tip[axis] + half];
      [z0, z1] = [setup.bed - 6, setup.bed + 66];
    }
    this.scale = Math.min((wide - 20) / (u1 - u0), (high - 34 - ABOVE) / (z1 - z0));
    this.middle = (u0 + u1) / 2;
    this.low = z0;
  }

  highest(setup) {
    if (setup.highest === undefined) setup.highest = setup.steps.bz.reduce((a, b) => Math.max(a, b), -1e9);
    return setup.highest;
  }

  toCanvas(u, z) {
    return [
      this.canvas.clientWidth / 2 + (u - this.middle) * this.scale,
      this.canvas.clientHeight - 22 - (z - this.low) * this.scale,
    ];
  }

  // Where the section stands: at the cutter, or where there is wood next to it.
  stand(tip, bounds) {
    const axis = 1 - this.axis;
    if (!bounds) return tip[axis];
    const [low, high] = [bounds[axis], bounds[axis + 2]];
    const middle = (low + high) / 2;
    const [u0, u1] = [bounds[this.axis], bounds[this.axis + 2]];
    const reach = this.along ? [Math.max(u0, tip[0] - ALONG / 2), Math.min(u1, tip[0] + ALONG / 2)] : [u0, u1];
    const wood = (at) => this.course.here.lays.some((lay) => {
      for (let n = 0; n < LOOKS; n++) {
        const u = reach[0] + ((n + 0.5) / LOOKS) * (reach[1] - reach[0]);
        if (this.along ? woodAt(lay.wood, lay, u, at) : woodAt(lay.wood, lay, at, u)) return true;
      }
      return false;
    });
    if (wood(tip[axis])) return tip[axis];
    const stride = Math.max(2, (high - low) / 400);
    const from = Math.max(low, Math.min(high, tip[axis]));
    const way = from < middle ? 1 : -1;
    for (let at = from; (middle - at) * way > 0; at += way * stride) if (wood(at)) return at + way * stride;
    return tip[axis];
  }

  place(bounds, woodBounds) {
    const middle = [(bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2, this.course.here.bed];
    const tip = this.course.tip || middle;
    return { tip, at: this.stand(tip, woodBounds) };
  }

  draw(bounds, woodBounds) {
    const { tip, at } = this.place(bounds, woodBounds);
    const { course, axis } = this;
    const { ink, wide, high } = fitted(this.canvas);
    const setup = course.here;
    this.frame(bounds, tip, course.tool);
    const [left, right] = [0, wide].map((px) => this.middle + (px - wide / 2) / this.scale);
    this.bed(ink, left, right);
    for (const shim of setup.shims) this.shim(ink, shim, at);
    for (const lay of setup.lays) this.wood(ink, lay, at, left, right);
    for (const z of setup.planes) {
      trace(ink, [this.toCanvas(left, z), this.toCanvas(right, z)], false);
      stroke(ink, 1.2, [10, 3, 2, 3]);
    }
    const standing = new Set(course.program ? course.program.standing : []);
    const tags = [];
    setup.solids.forEach((solid, number) => {
      if (standing.has(number)) tags.push(...this.solid(ink, solid, at));
    });
    if (course.tip && course.tool) this.assembly(ink, tip, course.tool);
    for (const [text, x, y] of tags) word(ink, text, x, y, { bold: true });
    const off = Math.abs(at - tip[1 - axis]);
    if (off > 0.5)
      word(ink, `through the wood ${long(off, 1)} ${unit()} from the cutter's middle`, 8, 12, { size: 12, align: "left" });
    const ends = this.along ? ["left", "right"] : ["near", "far"];
    word(ink, ends[0], 8, high - 9, { size: 12, align: "left", style: SOFT });
    word(ink, ends[1], wide - 8, high - 9, { size: 12, align: "right", style: SOFT });
    scaleBar(ink, this.scale, wide / 2 - 40, high - 5, course.data.units);
  }

  bed(ink, left, right) {
    const z = this.course.here.bed;
    const [x0, y0] = this.toCanvas(left, z);
    const [x1, y1] = this.toCanvas(right, z - 5 / this.scale);
    trace(ink, [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]);
    hatch(ink, [x0, y0, x1, y1], 5, SOFT);
    trace(ink, [[x0, y0], [x1, y0]], false);
    stroke(ink, 1.6);
  }

  shim(ink, [x, y, thickness], at) {
    const [u, off] = this.along ? [x, y - at] : [y, x - at];
    if (Math.abs(off) > BESIDE) return;
    const z = this.course.here.bed;
    const [[x0, y0], [x1, y1]] = [this.toCanvas(u - 10, z), this.toCanvas(u + 10, z + thickness)];
    ink.fillStyle = INK;
    ink.fillRect(x0, y1, x1 - x0, y0 - y1);
  }

  wood(ink, lay, at, left, right) {
    const stretch = Math.max(lay.wood.cell / 2, (right - left) / 900);
    let upper = [];
    let lower = [];
    const close = () => {
      if (upper.length > 1) {
        const outline = [...upper, ...lower.reverse()];
        trace(ink, outline);
        ink.fillStyle = "#e4e4e4";
        ink.fill();
        stroke(ink, 1.8);
      }
      upper = [];
      lower = [];
    };
    // On a raster of the board's own, so that the outline stands still while the cutter moves.
    for (let n = Math.floor(left / stretch); n * stretch <= right; n++) {
      const u = (n + 0.5) * stretch;
      const heights = this.along ? woodAt(lay.wood, lay, u, at) : woodAt(lay.wood, lay, at, u);
      if (!heights) {
        close();
        continue;
      }
      for (const end of [n * stretch, (n + 1) * stretch]) {
        upper.push(this.toCanvas(end, heights[1]));
        lower.push(this.toCanvas(end, heights[0]));
      }
    }
    close();
  }

  // A solid in the section is hatched, one close before or behind it dashed; gives the tags to write.
  solid(ink, solid, at) {
    const { axis } = this;
    const turned = solid.outline.map((p) => [p[axis], p[1 - axis]]);
    const cuts = crossed([turned], at);
    const spans = [];
    for (let c = 0; c + 1 < cuts.length; c += 2) spans.push([cuts[c], cuts[c + 1], true]);
    if (!spans.length) {
      const [u0, v0, u1, v1] = boxOf(turned);
      if (Math.min(Math.abs(v0 - at), Math.abs(v1 - at)) > BESIDE) return [];
      spans.push([u0, u1, false]);
    }
    return spans.map(([u0, u1, inside]) => {
      const [x0, y0] = this.toCanvas(u0, solid.from);
      const [x1, y1] = this.toCanvas(u1, solid.to);
      const points = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
      trace(ink, points);
      if (inside) {
        ink.fillStyle = "#fff";
        ink.fill();
        hatch(ink, boxOf(points), 6);
        trace(ink, points);
      }
      stroke(ink, inside ? 1.5 : 1, inside ? [] : [4, 3]);
      return [String(solid.number), (x0 + x1) / 2, (y0 + y1) / 2];
    });
  }

  assembly(ink, tip, tool) {
    const { course, axis } = this;
    tool.parts.forEach(([diameter, from, to], number) => {
      const [x0, y0] = this.toCanvas(tip[axis] - diameter / 2, tip[2] + from);
      const [x1, y1] = this.toCanvas(tip[axis] + diameter / 2, tip[2] + to);
      ink.fillStyle = ["#555", "#fff", "#ccc"][number] || "#eee";
      ink.fillRect(x0, y1, x1 - x0, y0 - y1);
      trace(ink, [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]);
      stroke(ink, number ? 1.3 : 2);
    });
    const nose = tool.parts[tool.parts.length - 1][1];
    for (const part of course.data.attached) {
      const us = part.outline.map((p) => tip[axis] + p[axis]);
      const [x0, y0] = this.toCanvas(Math.min(...us), tip[2] + nose + part.from);
      const [x1, y1] = this.toCanvas(Math.max(...us), tip[2] + nose + part.to);
      trace(ink, [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]);
      stroke(ink, 1.2, [3, 3]);
    }
    const [x, y] = this.toCanvas(tip[axis], tip[2]);
    const top = this.toCanvas(tip[axis], tip[2] + tool.parts[tool.parts.length - 1][2])[1];
    trace(ink, [[x, y + 9], [x, top - 6]], false);
    stroke(ink, 1, [10, 3, 2, 3]);
  }
}
