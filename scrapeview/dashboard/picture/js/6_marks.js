// How layers are drawn: markers by shape, lines whole or dashed, hatched areas; swatches of the same.

const NIGHT = "#14161c";

function marker(pen, shape, x, y, radius, colour) {
  const thick = Math.max(1, radius / 2.5);
  for (const [ink, wider] of [[NIGHT, radius < 2.4 ? 1.2 : 2], [colour, 0]]) {
    pen.strokeStyle = pen.fillStyle = ink;
    pen.lineWidth = thick + wider;
    pen.beginPath();
    if (shape === "dot") {
      pen.arc(x, y, radius * 0.75 + wider / 2, 0, 2 * Math.PI);
      pen.fill();
    } else if (shape === "ring") {
      pen.arc(x, y, radius * 1.25, 0, 2 * Math.PI);
      pen.stroke();
    } else {
      strokes(pen, shape, x, y, radius * 1.3);
      pen.stroke();
    }
  }
}

const STROKES = {
  triangle: [[[0, -1], [0.9, 0.7], [-0.9, 0.7], [0, -1]]],
  square: [[[-0.8, -0.8], [0.8, -0.8], [0.8, 0.8], [-0.8, 0.8], [-0.8, -0.8]]],
  cross: [[[-0.8, -0.8], [0.8, 0.8]], [[-0.8, 0.8], [0.8, -0.8]]],
  plus: [[[-1, 0], [1, 0]], [[0, -1], [0, 1]]],
  diamond: [[[0, -1.2], [1.2, 0], [0, 1.2], [-1.2, 0], [0, -1.2]]],
  tick: [[[-1, 0], [1, 0]]],
};

function strokes(pen, shape, x, y, reach) {
  for (const line of STROKES[shape] ?? STROKES.tick) {
    line.forEach(([dx, dy], index) => {
      const [px, py] = [x + dx * reach, y + dy * reach];
      if (index) pen.lineTo(px, py);
      else pen.moveTo(px, py);
    });
  }
}

function inked(pen, mark, thick, dense, stroke) {
  pen.setLineDash([]);
  if (mark.cased) {
    pen.strokeStyle = mark.cased;
    pen.lineWidth = (2 * thick + (thick > 1 ? 2 : 1)) * dense;
    stroke();
  }
  if (mark.shape === "dashes") pen.setLineDash([6 * thick * dense, 4 * thick * dense]);
  pen.strokeStyle = mark.colour;
  pen.lineWidth = thick * dense;
  stroke();
  pen.setLineDash([]);
}

let hatching;

function hatch(pen) {
  if (!hatching) {
    const tile = document.createElement("canvas");
    tile.width = tile.height = 8;
    const brush = tile.getContext("2d");
    brush.fillStyle = NIGHT;
    brush.fillRect(0, 0, 8, 8);
    brush.strokeStyle = "#ffffff";
    brush.lineWidth = 3;
    brush.beginPath();
    for (const shift of [-8, 0, 8]) {
      brush.moveTo(shift - 2, 10);
      brush.lineTo(shift + 10, -2);
    }
    brush.stroke();
    hatching = tile;
  }
  return pen.createPattern(hatching, "repeat");
}

function swatch(parent, layer) {
  const dense = window.devicePixelRatio || 1;
  const canvas = element("canvas", "swatch", parent, { "aria-hidden": "true" });
  canvas.width = 30 * dense;
  canvas.height = 20 * dense;
  const pen = canvas.getContext("2d");
  pen.setTransform(dense, 0, 0, dense, 0, 0);
  pen.fillStyle = "#787d87";
  pen.fillRect(0, 0, 30, 20);
  if (layer.shape === "hatch") {
    pen.fillStyle = hatch(pen);
    pen.fillRect(5, 4, 20, 12);
  } else if (layer.shape === "line" || layer.shape === "dashes") {
    inked(pen, layer, 2, 1, () => {
      pen.beginPath();
      pen.moveTo(3, 10);
      pen.lineTo(27, 10);
      pen.stroke();
    });
  } else marker(pen, layer.shape, 15, 10, 5, layer.colour);
}
