// What the person does, and what the page says of the moment that is shown.

const data = JSON.parse(document.getElementById("data").textContent);
const $ = (id) => document.getElementById(id);
const course = new Course(data);
const calm = window.matchMedia("(prefers-reduced-motion: reduce)");
const CALM_WAIT = 1000; // ms between pictures where no motion is wanted
let playing = false;
let queued = false;
let last = 0;

const redraw = () => {
  if (queued) return;
  queued = true;
  requestAnimationFrame(() => {
    queued = false;
    show();
  });
};
const above = new Above($("above"), course, redraw);
const section = new Section($("section"), course);
const lines = new Lines($("lines"), (line, by = 0) => {
  stop();
  let step = course.stepOfLine(course.program, line);
  // A step may stand for several lines: downwards always leads on.
  if (by > 0 && step <= course.at) step = course.at + 1;
  course.goTo(course.setup, step);
  redraw();
});

function long(mm, places = data.units === "inch" ? 3 : 2) {
  const value = data.units === "inch" ? mm / 25.4 : mm;
  return (Math.abs(value) < 10 ** -places / 2 ? 0 : value).toFixed(places);
}

function high(mm) {
  return long(mm, data.units === "inch" ? 3 : 1).replace(/\.0+$/, "");
}

function clock(seconds) {
  const whole = Math.round(seconds);
  const two = (n) => String(n).padStart(2, "0");
  const minutes = Math.floor(whole / 60);
  return minutes < 60
    ? `${minutes}:${two(whole % 60)}`
    : `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(whole % 60)}`;
}

function counted(n) {
  return String(n).replace(/\B(?=(\d{3})+$)/g, "\u202f");
}

function doing() {
  const s = course.here.steps;
  if (!s.count) return "nothing to play in this setup";
  if (course.step >= s.count) return "done in this setup";
  const k = course.at;
  if (s.kind[k] === STILL) return s.moves[k] ? "comes from where the machine stands" : "waits";
  if (s.kind[k] === TOUCHING) return "feels for what it touches";
  const how = s.kind[k] === FAST ? "fast" : "at cutting feed";
  return course.part === 0 ? how : `${how}, ${course.bite ? "in the wood" : "clear of the wood"}`;
}

function standsFor() {
  const s = course.here.steps;
  if (!s.count) return "–";
  const k = course.at;
  if (!s.moves[k]) return "a wait";
  return s.moves[k] === 1 ? "1 move" : `${counted(s.moves[k])} moves drawn as one`;
}

function drawnAs(program) {
  if (!program) return "";
  if (program.why) return `Not played: ${program.why}. What it cuts stays on the boards shown here.`;
  const s = course.here.steps;
  let moves = 0;
  let steps = 0;
  for (let k = program.first; k < program.last; k++) {
    moves += s.moves[k];
    if (s.moves[k]) steps += 1;
  }
  const off = program.steps.off;
  const near = `no move lies farther than ${long(off, 3)} ${unit()} from the line drawn for it, ` +
    `${long(off / data.weight, 3)} in height`;
  const how = moves === steps
    ? `Its ${counted(moves)} moves are drawn one by one.`
    : `Its ${counted(moves)} moves are drawn as ${counted(steps)} steps; ${near}.`;
  const text = program.lines;
  if (text.numbers === undefined) return how;
  return `${how} Of its ${counted(text.count)} lines ` +
    (text.text === null ? "only the numbers are here." : "the last one of each step is here.");
}

function unit() {
  return data.units === "inch" ? "in" : "mm";
}

function upWords(setup) {
  const said = setup.lies.filter((lie) => lie.up).map((lie) => {
    const side = lie.up === "A" || lie.up === "B" ? `face ${lie.up}` : lie.up;
    return `${data.boards[lie.board].name}: ${side} up`;
  });
  for (const name of setup.edgewise) said.push(`${name}: on its edge, its wood is not shown here`);
  return said.join("; ") || "–";
}

function show() {
  const setup = course.here;
  const s = setup.steps;
  const program = course.program;
  const [bounds, wood] = [above.bounds(setup), above.woodBounds(setup)];
  above.draw(section.axis, section.place(bounds, wood).at);
  section.draw(bounds, wood);
  const k = course.at;
  lines.show(program, s.count ? s.before[k] : 0, s.count ? s.line[k] : 0);
  const tip = course.tip;
  const said = {
    file: program ? program.file.split("/").pop() + (program.done ? " (has been run)" : "") : "–",
    line: s.count ? `${counted(s.line[k])} of ${counted(program.lines.count)}` : "–",
    doing: doing(),
    place: tip ? `X ${long(tip[0])}  Y ${long(tip[1])}  Z ${long(tip[2])}` : "–",
    tool: program && program.tool ? `${data.tools[program.tool].number}, ${program.tool}` : "–",
    spindle: s.count && s.rpm[k] ? `${Math.abs(s.rpm[k])} rpm` : "stands still",
    stands: standsFor(),
    at: lines.textOf(s.count ? s.line[k] : 0),
    now: clock(course.time),
    whole: clock(s.total),
    drawn: drawnAs(program),
    lies: upWords(setup),
  };
  for (const [id, text] of Object.entries(said)) if ($(id).textContent !== text) $(id).textContent = text;
  const bar = $("time");
  bar.max = s.total;
  if (document.activeElement !== bar || playing) bar.value = course.time;
  bar.setAttribute("aria-valuetext", `${said.now} of ${said.whole}`);
  $("above").setAttribute("aria-label", `From above: setup ${setup.index}, ${said.doing}, ${said.place}`);
  $("section").setAttribute("aria-label", `Section through the cutter: ${said.place}`);
  showSetup(setup, program);
}

let listed = "";
function showSetup(setup, program) {
  const key = `${course.setup}/${program ? program.file : ""}`;
  if (key === listed) return;
  listed = key;
  [...$("setups").children].forEach((button, i) =>
    i === course.setup ? button.setAttribute("aria-current", "step") : button.removeAttribute("aria-current"));
  $("setups").scrollTop = $("setups").children[course.setup].offsetTop - 60; // the list is short on a small screen
  const standing = new Set(program ? program.standing : []);
  const things = new Map();
  setup.solids.forEach((solid, index) =>
    things.set(solid.number, [...(things.get(solid.number) || []), [solid, standing.has(index)]]));
  $("standing").replaceChildren(...[...things].map(([number, parts]) => {
    const item = document.createElement("li");
    item.value = number;
    const heights = parts.map(([solid]) => {
      const part = solid.name.slice(solid.thing.length + 1);
      return `${part && part + " "}${solid.from > 0 ? `${high(solid.from)} to ` : ""}${high(solid.to)} ${unit()} high`;
    });
    item.textContent = `${parts[0][0].thing}, ${heights.join(", ")}`;
    if (!parts.some(([, stands]) => stands)) {
      item.className = "away";
      item.textContent += ": not there for this file";
    }
    return item;
  }));
}

function stop(why = "") {
  playing = false;
  $("play").textContent = "Play";
  $("said").textContent = why;
}

// A button acts on what is seen: with neither view wholly above the controls, the one from above comes there.
function inSight() {
  const end = $("controls").getBoundingClientRect().top;
  const boxes = ["above", "section"].map((id) => $(id).getBoundingClientRect());
  if (boxes.some((box) => box.top >= 0 && box.bottom <= end)) return;
  window.scrollBy(0, boxes[0].top - 4);
}

function play() {
  if (!course.here.steps.count || course.step >= course.here.steps.count) {
    if (course.setup + 1 >= course.setups.length) return stop("This is the end of the job.");
    course.goTo(course.setup + 1, 0);
  }
  playing = true;
  last = 0;
  $("play").textContent = "Pause";
  $("said").textContent = calm.matches ? "One picture a second, as this device asks for no motion." : "";
  requestAnimationFrame(tick);
}

function tick(now) {
  if (!playing) return;
  if (last && calm.matches && now - last < CALM_WAIT) return void requestAnimationFrame(tick);
  if (last) {
    const passed = (Math.min(now - last, CALM_WAIT + 500) / 1000) * Number($("speed").value);
    course.goToTime(course.time + passed);
    if (course.step >= course.here.steps.count) atEnd();
  }
  last = now;
  show();
  if (playing) requestAnimationFrame(tick);
}

function atEnd() {
  const next = course.setups[course.setup + 1];
  stop(next
    ? `End of setup ${course.here.index}. The next is clamped by hand as the sheet says; Play goes on with setup ${next.index}.`
    : "End of the job.");
}

// One move, pass or setup, back (-1) or on (1).
function go(what, by) {
  stop();
  const s = course.here.steps;
  if (what === "setup") {
    if (by < 0 && course.step + course.part > 0) course.goTo(course.setup, 0);
    else if (course.setups[course.setup + by]) course.goTo(course.setup + by, 0);
  } else if (what === "move") {
    course.goTo(course.setup, by > 0 ? course.step + 1 : course.step - (course.part > 0 ? 0 : 1));
  } else if (by > 0) {
    const next = s.passes.find((k) => k > course.step);
    course.goTo(course.setup, next === undefined ? s.count : next);
  } else {
    const here = course.step + course.part;
    course.goTo(course.setup, s.passes.filter((k) => k < here).pop() || 0);
  }
  show();
}

// A place in the job that another page can point to: #at=end, #setup=NUMBER (with &at=end), #file=NAME&line=NUMBER.
function fromHash() {
  const asked = new URLSearchParams(location.hash.slice(1));
  const numbered = course.setups.findIndex((each) => each.index === Number(asked.get("setup")));
  if (numbered >= 0 || asked.get("at") === "end") {
    const setup = numbered >= 0 ? numbered : course.setups.length - 1;
    course.goTo(setup, asked.get("at") === "end" ? course.setups[setup].steps.count : 0);
  } else if (asked.has("file")) {
    const named = (program) => program.file === asked.get("file") || program.file.split("/").pop() === asked.get("file");
    const setup = course.setups.findIndex((each) => each.programs.some(named));
    if (setup < 0) return;
    course.goTo(setup, 0);
    course.goTo(setup, course.stepOfLine(course.here.programs.find(named), Number(asked.get("line")) || 1));
  }
}

function start() {
  $("setups").replaceChildren(...course.setups.map((setup, i) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = `${setup.index}: ${setup.title}`;
    button.addEventListener("click", () => {
      stop();
      course.goTo(i, 0);
      show();
    });
    return button;
  }));
  $("play").addEventListener("click", () => {
    inSight();
    if (playing) (stop(), show());
    else play();
  });
  for (const button of document.querySelectorAll("[data-go]"))
    button.addEventListener("click", () => {
      inSight();
      go(button.dataset.go, Number(button.dataset.by));
    });
  $("time").addEventListener("input", (event) => {
    stop();
    course.goToTime(Number(event.target.value));
    redraw();
  });
  $("closer").addEventListener("click", () => above.closer(1.5));
  $("farther").addEventListener("click", () => above.closer(1 / 1.5));
  $("all").addEventListener("click", () => above.all());
  $("follow").addEventListener("change", (event) => {
    above.follow = event.target.checked;
    if (above.follow && above.zoom === 1) above.closer(3);
    redraw();
  });
  for (const [id, key] of [["along", "along"], ["near", "near"]])
    $(id).addEventListener("change", (event) => {
      section[key] = event.target.checked;
      redraw();
    });
  document.addEventListener("keydown", onKey);
  window.addEventListener("resize", redraw);
  window.addEventListener("hashchange", () => {
    stop();
    fromHash();
    redraw();
  });
  const cell = Math.max(...course.woods.map((wood) => wood.cell));
  $("cell").textContent = `The wood is cut in squares of ${long(cell, 1)} ${unit()}, ` +
    `${cell > data.cell ? "coarser than the proof's; " : ""}a file lasts as the sheet says, a move at an even pace. ` +
    (data.rapids === "independent" ? "Fast moves of this machine may run with a bend; they are drawn straight." : "");
  fromHash();
  show();
}

function onKey(event) {
  const tag = event.target.tagName;
  if (event.ctrlKey || event.altKey || event.metaKey || tag === "SELECT") return;
  const inBar = tag === "INPUT" && event.target.type === "range";
  if (event.key === " " && tag !== "BUTTON" && tag !== "INPUT") {
    if (playing) (stop(), show());
    else play();
  } else if ((event.key === "ArrowLeft" || event.key === "ArrowRight") && !inBar) {
    go(event.shiftKey ? "pass" : "move", event.key === "ArrowLeft" ? -1 : 1);
  } else if ((event.key === "ArrowUp" || event.key === "ArrowDown") && event.shiftKey && !inBar) {
    go("setup", event.key === "ArrowUp" ? -1 : 1);
  } else {
    return;
  }
  event.preventDefault();
}

start();
// For tests: the moment and the wood that are shown.
window.shownNow = () => ({
  setup: course.setup, step: course.step, part: course.part, time: course.time, tip: course.tip, zoom: above.zoom,
  solids: course.here.solids.map((solid) => solid.outline),
  woods: course.woods.map(({ name, x0, y0, cell, nx, ny, top, bottom }) =>
    ({ name, x0, y0, cell, nx, ny, top: [...top], bottom: [...bottom] })),
});
