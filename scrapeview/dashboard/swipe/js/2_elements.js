// Small makers of page elements, and the marks of points as lines of an SVG.

const SVG = "http://www.w3.org/2000/svg";
const NIGHT = "#14161c";

function element(tag, className, parent, attributes = {}) {
  const made = document.createElement(tag);
  if (className) made.className = className;
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  parent?.appendChild(made);
  return made;
}

function drawing(tag, parent, attributes = {}) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  parent?.appendChild(made);
  return made;
}

function button(parent, label, testid, act) {
  const made = element("button", "plain", parent, { type: "button", "data-testid": testid });
  made.textContent = label;
  made.addEventListener("click", act);
  return made;
}

const SHAPES = {
  ring: (x, y, r) => `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0`,
  cross: (x, y, r) => `M${x - r} ${y - r}l${2 * r} ${2 * r}M${x - r} ${y + r}l${2 * r} ${-2 * r}`,
  triangle: (x, y, r) => `M${x} ${y - r}l${0.95 * r} ${1.7 * r}h${-1.9 * r}z`,
};

function drawMarks(svg, layer, scale, least) {
  const radius = Math.min(10, Math.max(least, layer.radius_px * scale));
  const round = (value) => Math.round(value * 10) / 10;
  const places = layer.places_px;
  let path = "";
  for (let i = 0; i < places.length; i += 2) {
    path += SHAPES[layer.shape](round(places[i] * scale), round(places[i + 1] * scale), round(radius));
  }
  const width = radius < 3 ? 1 : radius < 6 ? 1.4 : 2;
  const drawn = { d: path, fill: "none", "stroke-linejoin": "round" };
  drawing("path", svg, { ...drawn, stroke: NIGHT, "stroke-width": width + (radius < 3 ? 0.8 : 1.4) });
  drawing("path", svg, { ...drawn, stroke: layer.colour, "stroke-width": width });
}
