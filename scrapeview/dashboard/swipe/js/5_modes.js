// The three ways of looking: a divider dragged over both, one after the other, both side by side.

// Never more than two changes a second: slow enough for people whom flashing light harms.
const LEAST_MS = 500;
const PACES = [[2000, "every 2 s"], [1000, "every second"], [LEAST_MS, "twice a second"]];
const STEP = 0.02;

class Swipe {
  constructor(root, bar, state) {
    this.state = state;
    this.stages = [new Stage(root, ["before", "after"])];
    const { inner } = this.stages[0];
    this.after = this.stages[0].sheets[1].root;
    this.handle = element("div", "handle", inner, {
      role: "slider", tabindex: "0", "aria-label": "Divider between the two prints",
      "aria-valuemin": "0", "aria-valuemax": "100", "data-testid": "divider",
    });
    element("span", "knob", this.handle).textContent = "\u2194";
    this.handle.addEventListener("pointerdown", (event) => {
      this.handle.setPointerCapture(event.pointerId);
      event.preventDefault();
      this.handle.focus();
    });
    this.handle.addEventListener("pointermove", (event) => {
      if (this.handle.hasPointerCapture(event.pointerId)) this.moveTo(event.clientX);
    });
    // a tap anywhere brings the divider there; a thumb that scrolls the page does not tap
    inner.addEventListener("click", (event) => this.moveTo(event.clientX));
    this.handle.addEventListener("keydown", (event) => this.step(event));
    this.place(state.share);
  }

  moveTo(clientX) {
    const { left, width } = this.stages[0].inner.getBoundingClientRect();
    this.place((clientX - left) / width);
  }

  step(event) {
    const steps = { ArrowLeft: -STEP, ArrowRight: STEP, Home: -1, End: 1 };
    if (!(event.key in steps)) return;
    event.preventDefault();
    this.place(this.state.share + steps[event.key]);
  }

  place(share) {
    const kept = Math.min(1, Math.max(0, share));
    this.state.share = kept;
    this.handle.style.left = `${100 * kept}%`;
    this.handle.setAttribute("aria-valuenow", String(Math.round(100 * kept)));
    this.after.style.clipPath = `inset(0 0 0 ${100 * kept}%)`;
  }

  stop() {}
}

class Blink {
  constructor(root, bar, state) {
    this.state = state;
    this.stages = [new Stage(root, ["before", "after"])];
    this.pause = button(bar, "", "pause", () => this.run(!this.state.running));
    this.other = button(bar, "Show the other", "other", () => {
      this.run(false);
      this.change();
    });
    this.paces = PACES.map(([ms, label]) => button(bar, label, `pace-${ms}`, () => this.pace(ms)));
    this.pace(state.pace);
    this.run(state.running);
    this.show();
  }

  pace(ms) {
    this.state.pace = Math.max(LEAST_MS, ms);
    this.paces.forEach((made, at) =>
      made.setAttribute("aria-pressed", String(PACES[at][0] === this.state.pace)));
    this.run(this.state.running);
  }

  run(running) {
    this.state.running = running;
    this.pause.textContent = running ? "Pause" : "Run";
    clearInterval(this.timer);
    if (running) this.timer = setInterval(() => this.change(), this.state.pace);
  }

  change() {
    if (!this.pause.isConnected) {
      this.stop();
      return;
    }
    this.state.later = !this.state.later;
    this.show();
  }

  show() {
    this.stages[0].sheets.forEach((sheet, at) => sheet.show(this.state.later === (at === 1)));
  }

  stop() {
    clearInterval(this.timer);
  }
}

class Both {
  constructor(root) {
    const pair = element("div", "pair", root);
    this.stages = ["before", "after"].map((side) => new Stage(pair, [side]));
    this.stages.forEach((stage, at) => stage.frame.addEventListener("scroll", () => {
      if (!stage.movedByHand()) return;
      stage.put = undefined;
      this.stages[1 - at].scrollTo(stage.frame.scrollLeft, stage.frame.scrollTop);
    }));
  }

  stop() {}
}
