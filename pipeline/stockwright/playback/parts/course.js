// The course of the job: every setup's steps one after another, and the wood as far as they have been made.

const [CUTTING, FAST, TOUCHING, STILL] = [0, 1, 2, 3];
const MOST_IN_ALL = 600000; // cells of all boards of a job
const PAUSES = 24; // places in a setup to which the way back is short

function layOutSteps(setup, data) {
  const names = ["ax", "ay", "az", "bx", "by", "bz", "from", "till", "kind", "line", "before", "moves", "rpm", "program"];
  const all = Object.fromEntries(names.map((name) => [name, []]));
  let time = 0;
  setup.programs.forEach((program, number) => {
    program.first = all.kind.length;
    const s = program.steps;
    if (s) {
      const [x, y, z, till] = [s.x, s.y, s.z, s.till].map((text) => scaled(unpackPath(text), data.step));
      const [kind, moves, line] = [unpack(s.kind), unpack(s.moves), unpackPath(s.line)];
      let turn = 0;
      for (let k = 0; k < s.count; k++) {
        while (turn + 1 < s.rpm.length && s.rpm[turn + 1][0] <= k) turn++;
        const row = {
          ax: x[k], ay: y[k], az: z[k], bx: x[k + 1], by: y[k + 1], bz: z[k + 1],
          from: time + (k ? till[k - 1] : 0), till: time + till[k], kind: kind[k], line: line[k],
          before: k ? line[k - 1] : 0, moves: moves[k], rpm: s.rpm.length ? s.rpm[turn][1] : 0, program: number,
        };
        for (const name of names) all[name].push(row[name]);
      }
      if (s.count) time += till[s.count - 1];
    }
    program.last = all.kind.length;
  });
  const passes = [];
  for (let k = 0; k < all.kind.length; k++) {
    const begins = k === 0 || all.program[k] !== all.program[k - 1];
    if (begins || (all.kind[k] === CUTTING && all.kind[k - 1] !== CUTTING)) passes.push(k);
  }
  return { ...all, count: all.kind.length, total: time, passes };
}

class Course {
  constructor(data) {
    this.data = data;
    const most = Math.max(1, ...data.setups.map((setup) => setup.lies.length));
    const share = Math.min(MOST_CELLS / most, MOST_IN_ALL / Math.max(1, data.boards.length));
    this.woods = data.boards.map((board) => makeWood(board, share, data.step));
    this.rough = this.woods.map((wood) => [wood.top.slice(), wood.bottom.slice()]);
    this.setups = data.setups.map((setup) => ({
      ...setup,
      steps: layOutSteps(setup, data),
      lays: setup.lies.map((lie) => ({ ...layOf(lie.matrix), wood: this.woods[lie.board], up: lie.up })),
      boards: setup.lies.map((lie) => lie.board),
      kept: [], // the wood at some steps, the first of them 0
      left: null, // the wood as this setup leaves it
    }));
    this.setup = 0;
    this.step = 0; // steps wholly made
    this.part = 0; // of the one under way
    this.bite = false;
    if (this.setups.length) this.enter(0);
  }

  get here() {
    return this.setups[this.setup];
  }

  // The step under way, the last one when all are made.
  get at() {
    return Math.max(0, Math.min(this.step, this.here.steps.count - 1));
  }

  get program() {
    const s = this.here.steps;
    return this.here.programs[s.count ? s.program[this.at] : 0];
  }

  get time() {
    const s = this.here.steps;
    if (!s.count) return 0;
    return this.step >= s.count ? s.total : s.from[this.step] + this.part * (s.till[this.step] - s.from[this.step]);
  }

  // Where the tip is, work frame; null where nothing moves in this setup.
  get tip() {
    const s = this.here.steps;
    if (!s.count) return null;
    return this.along(this.at, this.step >= s.count ? 1 : this.part);
  }

  along(k, part) {
    const s = this.here.steps;
    return [
      s.ax[k] + (s.bx[k] - s.ax[k]) * part,
      s.ay[k] + (s.by[k] - s.ay[k]) * part,
      s.az[k] + (s.bz[k] - s.az[k]) * part,
    ];
  }

  get tool() {
    const program = this.program;
    return program && program.tool ? this.data.tools[program.tool] : null;
  }

  // The boards of this setup as they now are.
  snapshot() {
    return this.here.boards.map((board) => [this.woods[board].top.slice(), this.woods[board].bottom.slice()]);
  }

  keep() {
    this.here.kept.push({ step: this.step, fields: this.snapshot() });
  }

  restore(kept) {
    this.bite = false;
    this.here.boards.forEach((board, i) => {
      this.woods[board].top.set(kept.fields[i][0]);
      this.woods[board].bottom.set(kept.fields[i][1]);
    });
    this.step = kept.step;
    this.part = 0;
  }

  // Begin a setup: each of its boards as the last setup that had it leaves it.
  enter(setup) {
    const before = this.here;
    if (before && before.kept.length > 1) before.kept.length = 1; // one setup's way back is enough to carry
    const next = this.setups[setup];
    if (!next.kept.length) {
      const fields = next.boards.map((board) => {
        const earlier = this.setups.slice(0, setup).filter((each) => each.boards.includes(board)).pop();
        if (!earlier) return this.rough[board];
        if (!earlier.left) this.finish(this.setups.indexOf(earlier));
        return earlier.left[earlier.boards.indexOf(board)];
      });
      next.kept.push({ step: 0, fields });
    }
    this.setup = setup;
    this.restore(next.kept[0]);
  }

  finish(setup) {
    this.enter(setup);
    this.cutTo(this.here.steps.count, 0);
  }

  // Cut on until so many steps and a part of the next are made; never backwards.
  cutTo(step, part) {
    const s = this.here.steps;
    const every = Math.max(1, Math.ceil(s.count / PAUSES));
    while (this.step < step || this.part < part) {
      const to = this.step < step ? 1 : part;
      this.bite = false;
      if (s.kind[this.step] <= FAST) {
        const tool = this.data.tools[this.here.programs[s.program[this.step]].tool];
        const [p, q] = [this.along(this.step, this.part), this.along(this.step, to)];
        for (const lay of this.here.lays)
          if (tool && sweep(lay.wood, lay, p, q, tool.parts[0][0] / 2)) this.bite = true;
      }
      if (to < 1) {
        this.part = to;
        break;
      }
      this.step += 1;
      this.part = 0;
      const last = this.here.kept[this.here.kept.length - 1];
      if (this.step % every === 0 && this.step > last.step) this.keep();
    }
    if (this.step >= s.count && !this.here.left) this.here.left = this.snapshot();
  }

  // Go to a place in a setup, forwards or backwards; the wood is as the files leave it there.
  goTo(setup, step, part = 0) {
    if (setup !== this.setup) this.enter(setup);
    step = Math.max(0, Math.min(step, this.here.steps.count));
    if (step === this.here.steps.count) part = 0;
    if (step < this.step || (step === this.step && part < this.part)) {
      const kept = this.here.kept.filter((each) => each.step <= step);
      this.restore(kept[kept.length - 1]);
    }
    this.cutTo(step, part);
  }

  goToTime(time) {
    const s = this.here.steps;
    let [low, high] = [0, s.count];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (s.till[middle] > time) high = middle;
      else low = middle + 1;
    }
    const part = low < s.count ? Math.max(0, (time - s.from[low]) / (s.till[low] - s.from[low])) : 0;
    this.goTo(this.setup, low, part);
  }

  // The first step of a file that is made by a line, or by the next one that moves.
  stepOfLine(program, line) {
    const s = this.here.steps;
    let [low, high] = [program.first, program.last];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (s.line[middle] >= line) high = middle;
      else low = middle + 1;
    }
    return Math.min(low, Math.max(program.first, program.last - 1));
  }
}
