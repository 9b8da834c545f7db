// How things are drawn: ink on paper, told apart by line and hatch, never by colour.

const INK = "#111";
const SOFT = "#555";
const RULE = "#999";
const FONT = '"Liberation Sans", "DejaVu Sans", Arial, Helvetica, sans-serif';

// Fit a canvas to its place on the page, sharp on any screen; gives its width and height in CSS pixels.
function fitted(canvas) {
  const [wide, high] = [canvas.clientWidth, canvas.clientHeight];
  const dots = window.devicePixelRatio || 1;
  if (canvas.width !== Math.round(wide * dots) || canvas.height !== Math.round(high * dots)) {
    canvas.width = Math.round(wide * dots);
    canvas.height = Math.round(high * dots);
  }
  const ink = canvas.getContext("2d");
  ink.setTransform(dots, 0, 0, dots, 0, 0);
  ink.clearRect(0, 0, wide, high);
  ink.lineJoin = "round";
  return { ink, wide, high };
}

function trace(ink, points, close = true) {
  ink.beginPath();
  points.forEach(([x, y], i) => (i ? ink.lineTo(x, y) : ink.moveTo(x, y)));
  if (close) ink.closePath();
}

function stroke(ink, width, dash = [], style = INK) {
  ink.lineWidth = width;
  ink.strokeStyle = style;
  ink.setLineDash(dash);
  ink.stroke();
  ink.setLineDash([]);
}

// Slanting lines over the path that is traced, `gap` pixels apart, clipped to it.
function hatch(ink, box, gap, style = RULE) {
  ink.save();
  ink.clip();
  ink.beginPath();
  const [x0, y0, x1, y1] = box;
  for (let c = Math.floor((x0 + y0) / gap) * gap; c < x1 + y1; c += gap) {
    ink.moveTo(c - y0, y0);
    ink.lineTo(c - y1, y1);
  }
  stroke(ink, 0.8, [], style);
  ink.restore();
}

function boxOf(points) {
  const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

function word(ink, text, x, y, { size = 13, bold = false, align = "center", style = INK } = {}) {
  ink.font = `${bold ? "bold " : ""}${size}px ${FONT}`;
  ink.textAlign = align;
  ink.textBaseline = "middle";
  ink.lineWidth = 3.5;
  ink.strokeStyle = "#fff";
  ink.setLineDash([]);
  ink.strokeText(text, x, y);
  ink.fillStyle = style;
  ink.fillText(text, x, y);
}

function disc(ink, x, y, radius) {
  ink.beginPath();
  ink.arc(x, y, Math.max(0.5, radius), 0, 2 * Math.PI);
}

// A bar as long as some round number of millimetres or inches.
function scaleBar(ink, scale, x, y, units) {
  const unit = units === "inch" ? 25.4 : 1;
  const lengths = [0.05, 0.1, 0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000];
  const length = lengths.find((each) => each * unit * scale > 45) || 1000;
  const end = x + length * unit * scale;
  trace(ink, [[x, y - 4], [x, y], [end, y], [end, y - 4]], false);
  stroke(ink, 1.4);
  word(ink, `${length} ${units === "inch" ? "in" : "mm"}`, (x + end) / 2, y - 10, { size: 12 });
}
