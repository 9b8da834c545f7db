// Whole numbers from short text, as packing.py writes them.

function unpack(text) {
  const raw = atob(text);
  const found = [];
  let value = 0;
  let place = 1;
  for (let i = 0; i < raw.length; i++) {
    const byte = raw.charCodeAt(i);
    value += (byte & 127) * place; // beyond 32 bits, so no shifting
    if (byte & 128) {
      place *= 128;
    } else {
      found.push(value % 2 ? -(value + 1) / 2 : value / 2);
      value = 0;
      place = 1;
    }
  }
  return found;
}

function unpackPath(text) {
  const found = unpack(text);
  for (let i = 1; i < found.length; i++) found[i] += found[i - 1];
  return found;
}

function scaled(numbers, step) {
  return Float64Array.from(numbers, (n) => n * step);
}
