// Picks on a photograph: handles placed by tapping, dragged, nudged by single pixels, taken back.
// Inside, picks are in pixels of the picture shown; in and out, in pixels of the full-size photo.

const NEAR_MOUSE_PX = 14;
const NEAR_FINGER_PX = 26;

class Picks {
  constructor(root, tools) {
    this.tools = tools;
    this.picks = [];
    this.before = [];
    this.chosen = -1;
    this.prompt = element("p", "prompt", root, { "aria-live": "polite", "data-testid": "prompt" });
    this.stage = new Stage(root, this);
    this.loupe = new Loupe(this.stage);
    const bar = element("div", "bar", root);
    const nudges = { "◀": ["left", -1, 0], "▲": ["up", 0, -1], "▼": ["down", 0, 1], "▶": ["right", 1, 0] };
    for (const [sign, [way, x, y]] of Object.entries(nudges)) {
      const label = { sign, name: `One pixel ${way}` };
      button(bar, label, `nudge-${way}`, () => this.nudge(x, y));
    }
    this.undoButton = button(bar, "Undo", "undo-pick", () => this.undo());
    this.clearButton = button(bar, "Clear", "clear-picks", () => this.clear());
    zoomButtons(bar, this.stage);
    this.done = button(root, "Done", "picks-done", () => this.send(), "main");
  }

  update(data) {
    this.data = data;
    if (data.version !== this.version) {
      this.version = data.version;
      this.before = [];
      this.picks = data.picks_px.map((pick) => this.fromFull(pick));
      this.chosen = -1;
    }
    if (data.acknowledged > (this.told ?? 0)) this.sent = false;
    this.told = data.acknowledged;
    whenPicture(data.picture, (image) => {
      if (this.data.picture !== data.picture) return;
      this.stage.show(image, [image.naturalWidth, image.naturalHeight]);
      this.loupe.hide();
    });
    this.changed();
  }

  destroy() { this.stage.destroy(); }

  fromFull([x, y]) {
    const [kx, ky] = this.data.scale;
    return [(x + 0.5) / kx - 0.5, (y + 0.5) / ky - 0.5];
  }

  toFull([x, y]) {
    const [kx, ky] = this.data.scale;
    return [(x + 0.5) * kx - 0.5, (y + 0.5) * ky - 0.5];
  }

  get full() { return this.picks.length >= this.data.most; }
  get enough() { return this.picks.length >= this.data.least; }

  // what the pointer does

  nearest(at, type) {
    const reach = type === "mouse" ? NEAR_MOUSE_PX : NEAR_FINGER_PX;
    let [best, found] = [reach, -1];
    this.picks.forEach((pick, index) => {
      const [x, y] = this.stage.at(pick);
      const apart = Math.hypot(x - at[0], y - at[1]);
      if (apart < best) [best, found] = [apart, index];
    });
    return found;
  }

  down(at, type) {
    this.stage.box.focus({ preventScroll: true });
    const near = this.nearest(at, type);
    this.kept = [...this.picks];
    if (near >= 0) {
      this.chosen = near;
      const [x, y] = this.stage.at(this.picks[near]);
      this.grip = [x - at[0], y - at[1]];
      this.placing = false;
      this.look(this.picks[near], at);
      this.changed();
      return true;
    }
    // a finger places and then aims by the loupe; a mouse aims first, so that it can also move
    if (type === "mouse" || this.full || !this.stage.inside(this.stage.place(at))) return false;
    this.grip = [0, 0];
    this.placing = true;
    this.add(this.stage.place(at));
    this.look(this.picks[this.chosen], at);
    return true;
  }

  drag(at, still) {
    if (this.chosen < 0 || (still && !this.placing)) return;
    this.picks[this.chosen] = this.limited(this.stage.place([at[0] + this.grip[0], at[1] + this.grip[1]]));
    this.look(this.picks[this.chosen], at);
    this.changed();
  }

  drop(at, still) {
    if (this.placing || !still) this.before.push(this.kept);
    this.loupe.hide();
    this.changed();
  }

  cancel() {
    this.picks = this.kept ?? this.picks;
    this.chosen = Math.min(this.chosen, this.picks.length - 1);
    this.loupe.hide();
    this.changed();
  }

  tap(at, type) {
    const place = this.stage.place(at);
    if (type !== "mouse" || this.full || !this.stage.inside(place)) return;
    this.before.push([...this.picks]);
    this.add(place);
  }

  hover(at) {
    const place = this.stage.place(at);
    if (this.stage.inside(place)) this.look(place, at);
    else this.loupe.hide();
  }

  away() { this.loupe.hide(); }

  look(place, at) { this.loupe.show(place, at); }

  limited([x, y]) {
    const [wide, high] = this.stage.size;
    return [Math.min(wide - 0.5, Math.max(-0.5, x)), Math.min(high - 0.5, Math.max(-0.5, y))];
  }

  add(place) {
    this.picks = [...this.picks, place];
    this.chosen = this.picks.length - 1;
    this.changed();
  }

  // keys and buttons

  key(event) {
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const step = event.shiftKey ? 10 : 1;
    if (ways[event.key]) {
      const [x, y] = ways[event.key];
      this.nudge(x * step, y * step);
    } else if (event.key === "z" && (event.ctrlKey || event.metaKey)) this.undo();
    else if (event.key === "+") this.stage.zoom(1.6);
    else if (event.key === "-") this.stage.zoom(1 / 1.6);
    else return;
    event.preventDefault();
  }

  nudge(right, down) {
    if (this.chosen < 0) return;
    this.before.push([...this.picks]);
    const [x, y] = this.toFull(this.picks[this.chosen]);
    this.picks[this.chosen] = this.limited(this.fromFull([x + right, y + down]));
    this.stage.reveal(this.picks[this.chosen]);
    this.changed();
    this.look(this.picks[this.chosen], this.stage.at(this.picks[this.chosen]));
  }

  undo() {
    if (this.before.length === 0) return;
    this.picks = this.before.pop();
    this.chosen = this.picks.length - 1;
    this.loupe.hide();
    this.changed();
  }

  clear() {
    if (this.picks.length === 0) return;
    this.before.push([...this.picks]);
    this.picks = [];
    this.chosen = -1;
    this.loupe.hide();
    this.changed();
  }

  send() {
    if (!this.enough || this.sent) return;
    this.sent = true;
    const places = this.picks.map((pick) => this.toFull(pick).map((value) => Math.round(value * 100) / 100));
    this.tools.send({ kind: "picks", places });
    this.changed();
  }

  // what is seen

  changed() {
    const { data, picks } = this;
    const next = data.names[Math.min(picks.length, data.names.length - 1)];
    const counted = data.most < 50 ? `${picks.length} of ${data.most}: ` : `${picks.length}: `;
    let text = counted + data.prompt.replace("{name}", next);
    if (this.full || (this.enough && data.most >= 50)) text = data.ready;
    if (this.sent) text = data.busy;
    if (this.prompt.textContent !== text) this.prompt.textContent = text;
    this.done.textContent = data.done;
    this.done.setAttribute("aria-label", data.done);
    this.done.disabled = !this.enough || Boolean(this.sent);
    this.undoButton.disabled = this.before.length === 0;
    this.clearButton.disabled = picks.length === 0;
    this.stage.redraw();
  }

  draw(pen) {
    if (!this.data) return;
    this.drawLine(pen);
    this.drawHandles();
  }

  drawLine(pen) {
    const order = this.data.line === "ring" ? roundTheMiddle(this.picks) : this.picks;
    const line = order.map((pick) => this.stage.at(pick));
    if (line.length < 2 || this.data.line === "none") return;
    const closed = this.data.line !== "open" && (this.full || (this.enough && this.data.most >= 50));
    for (const [colour, width] of [["#14161c", 4], ["#ffdd33", 2]]) {
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      pen.beginPath();
      line.forEach(([x, y], index) => (index ? pen.lineTo(x, y) : pen.moveTo(x, y)));
      if (closed) pen.closePath();
      pen.stroke();
    }
  }

  drawHandles() {
    const { over } = this.stage;
    const handles = [...over.querySelectorAll(".handle")];
    handles.slice(this.picks.length).forEach((handle) => handle.remove());
    this.picks.forEach((pick, index) => {
      const handle = handles[index] ?? this.newHandle(index);
      const [x, y] = this.stage.at(pick);
      handle.style.transform = `translate(${x}px, ${y}px)`;
      handle.classList.toggle("chosen", index === this.chosen);
      const [fx, fy] = this.toFull(pick);
      const name = this.data.names[Math.min(index, this.data.names.length - 1)];
      handle.setAttribute("aria-label", `${name}, at ${fx.toFixed(1)}, ${fy.toFixed(1)} px`);
      handle.dataset.x = fx.toFixed(2);
      handle.dataset.y = fy.toFixed(2);
    });
  }

  newHandle(index) {
    const attributes = { type: "button", "data-testid": `handle-${index}` };
    const handle = element("button", "handle", this.stage.over, attributes);
    element("span", "", handle).textContent = String(index + 1);
    handle.addEventListener("focus", () => {
      this.chosen = index;
      this.changed();
    });
    return handle;
  }
}

function roundTheMiddle(picks) {
  const middle = [0, 1].map((axis) => picks.reduce((sum, p) => sum + p[axis], 0) / picks.length);
  const turn = (p) => Math.atan2(p[1] - middle[1], p[0] - middle[0]);
  return [...picks].sort((one, two) => turn(one) - turn(two));
}
