// The loupe: what lies under the finger or the mouse, enlarged and drawn beside it, with a cross hair.

class Loupe {
  constructor(stage) {
    this.stage = stage;
    this.canvas = element("canvas", "loupe", stage.over, { "data-testid": "loupe" });
    this.hide();
  }

  hide() {
    this.canvas.style.display = "none";
  }

  // place in picture pixels, at in pixels of the stage
  show(place, at) {
    const { stage, canvas } = this;
    if (!stage.image) return;
    const side = Math.round(Math.min(170, 0.4 * stage.width, 0.62 * stage.height));
    const dense = window.devicePixelRatio || 1;
    canvas.width = canvas.height = side * dense;
    canvas.style.width = canvas.style.height = `${side}px`;
    canvas.style.display = "block";
    const rim = 6;
    const right = at[0] < stage.width / 2;
    // with the whole height taken by a low picture, the side alone keeps it clear of the finger
    const low = at[1] < stage.height / 2 && stage.height > 2 * side;
    canvas.style.left = `${right ? stage.width - side - rim : rim}px`;
    canvas.style.top = `${low ? stage.height - side - rim : rim}px`;
    this.draw(place, side, dense);
  }

  draw([x, y], side, dense) {
    const pen = this.canvas.getContext("2d");
    const scale = Math.max(3, 2.5 * this.stage.scale);
    pen.setTransform(dense, 0, 0, dense, 0, 0);
    pen.fillStyle = "#14161c";
    pen.fillRect(0, 0, side, side);
    pen.imageSmoothingEnabled = scale < 6;
    const [wide, high] = this.stage.size;
    const [left, top] = [side / 2 - (x + 0.5) * scale, side / 2 - (y + 0.5) * scale];
    pen.drawImage(this.stage.image, left, top, wide * scale, high * scale);
    crossHair(pen, side / 2, side / 2, side / 2, 5);
  }
}

function crossHair(pen, x, y, reach, gap) {
  for (const [colour, width] of [["#14161c", 3], ["#ffffff", 1]]) {
    pen.strokeStyle = colour;
    pen.lineWidth = width;
    pen.beginPath();
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
      pen.moveTo(x + dx * gap, y + dy * gap);
      pen.lineTo(x + dx * reach, y + dy * reach);
    }
    pen.stroke();
  }
}
