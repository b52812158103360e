// Small makers of page elements.

function element(tag, className, parent, attributes = {}) {
  const made = document.createElement(tag);
  if (className) made.className = className;
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  parent?.appendChild(made);
  return made;
}

function button(parent, label, testid, act, className = "plain") {
  const made = element("button", className, parent, { type: "button", "data-testid": testid });
  made.setAttribute("aria-label", label.name ?? label);
  made.title = label.name ?? label;
  made.textContent = label.sign ?? label;
  made.addEventListener("click", act);
  return made;
}

// Events wait here, numbered, until the server says up to which number it has taken them: one that
// is sent twice is applied once, one that is sent while the server works is not lost.
class Outbox {
  constructor() {
    this.waiting = [];
    this.last = 0;
  }

  taken(upTo) {
    this.last = Math.max(this.last, upTo);
    this.waiting = this.waiting.filter((event) => event.number > upTo);
  }

  send(setStateValue, event) {
    this.last += 1;
    this.waiting.push({ number: this.last, ...event });
    setStateValue("events", this.waiting);
  }
}
