// The program's lines: only those in sight are on the page, so that a long file scrolls as a short one does.

const ROW = 26; // px
const TALLEST = 8e6; // px: beyond this browsers no longer lay out a box; rows are then passed over faster

class Lines {
  constructor(box, onLine) {
    Object.assign(this, { box, onLine, program: null, rows: 0, from: 0, to: 0 });
    this.sheet = document.createElement("div");
    this.sheet.className = "rows";
    box.append(this.sheet);
    box.addEventListener("scroll", () => this.fill());
    box.addEventListener("click", (event) => {
      const row = event.target.closest("[data-row]");
      if (row) onLine(this.numberAt(Number(row.dataset.row)));
    });
    box.addEventListener("keydown", (event) => {
      const by = { ArrowUp: -1, ArrowDown: 1 }[event.key];
      if (!by || event.shiftKey || !this.rows) return;
      event.preventDefault();
      event.stopPropagation();
      const row = Math.max(0, Math.min(this.rows - 1, (by < 0 ? this.first : this.last) + by));
      onLine(this.numberAt(row), by);
    });
  }

  // The line number in a row.
  numberAt(row) {
    return this.numbers ? this.numbers[row] : row + 1;
  }

  rowOf(line) {
    if (!this.numbers) return Math.min(this.rows - 1, line - 1);
    let [low, high] = [0, this.numbers.length - 1];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.numbers[middle] >= line) high = middle;
      else low = middle + 1;
    }
    return low;
  }

  // Show lines `before` (without it) to `line` of a program as the ones being run.
  show(program, before, line) {
    if (program !== this.program) {
      this.program = program;
      const lines = program && program.lines;
      this.numbers = lines && lines.numbers !== undefined ? unpackPath(lines.numbers) : null;
      this.texts = lines && lines.text !== null ? lines.text.split("\n") : null;
      this.rows = !lines ? 0 : this.numbers ? this.numbers.length : lines.count;
      this.sheet.style.height = `${Math.min(TALLEST, this.rows * ROW)}px`;
      this.first = -1;
      this.box.scrollTop = 0;
    }
    const last = this.rows ? this.rowOf(line) : 0;
    const first = this.rows ? Math.min(last, this.rowOf(before + 1)) : 0;
    if (first === this.first && last === this.last) return;
    [this.first, this.last] = [first, last];
    const room = this.box.clientHeight;
    const pitch = Math.min(ROW, TALLEST / Math.max(1, this.rows));
    this.box.scrollTop = Math.max(0, last * pitch - room / 2 + ROW / 2);
    this.fill();
  }

  // A line's number and text, as far as it is carried.
  textOf(line) {
    if (!this.rows || !line) return "";
    const row = this.rowOf(line);
    return `${line}  ${this.texts && this.numberAt(row) === line ? this.texts[row] : ""}`;
  }

  fill() {
    const pitch = Math.min(ROW, TALLEST / Math.max(1, this.rows));
    const top = this.box.scrollTop;
    const begin = Math.max(0, Math.floor(top / pitch) - 2);
    const end = Math.min(this.rows, begin + Math.ceil(this.box.clientHeight / ROW) + 5);
    const rows = [];
    for (let row = begin; row < end; row++) {
      const line = document.createElement("div");
      line.dataset.row = row;
      line.style.top = `${begin * pitch + (row - begin) * ROW}px`;
      const now = row >= this.first && row <= this.last;
      line.className = now ? "line now" : "line";
      const number = document.createElement("span");
      number.className = "line-number";
      number.textContent = this.numberAt(row);
      line.append(number, this.texts ? this.texts[row] || "" : "");
      rows.push(line);
    }
    this.sheet.replaceChildren(...rows);
  }
}
