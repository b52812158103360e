// What the page calls, on every run: one picture component for each place on the page, in one of the
// modes "keep" (bytes of a picture, shown nowhere), "picks" and "layers".

const shown = (globalThis.scrapeviewShown ??= new WeakMap());
const MODES = { picks: Picks, layers: Layers };

export default function ({ data, parentElement, setStateValue }) {
  if (data instanceof Uint8Array) {
    keepSent(data);
    return undefined;
  }
  let held = shown.get(parentElement);
  if (held && held.mode !== data.mode) {
    held.remove();
    held = undefined;
  }
  if (!held) {
    held = begin(parentElement, data.mode);
    shown.set(parentElement, held);
  }
  held.setStateValue = setStateValue;
  held.outbox.taken(data.acknowledged);
  held.view.update(data);
  // a call that a newer one has overtaken is ended too: only what has left the page may go
  return () => setTimeout(() => {
    if (held.root.isConnected) return;
    held.remove();
    if (shown.get(parentElement) === held) shown.delete(parentElement);
  }, 0);
}

function begin(parentElement, mode) {
  const root = element("div", `picture ${mode}`, parentElement);
  const held = { mode, root, outbox: new Outbox() };
  held.view = new MODES[mode](root, {
    send: (event) => held.outbox.send(held.setStateValue, event),
    waiting: () => held.outbox.waiting.length,
  });
  held.remove = () => {
    held.view.destroy();
    root.remove();
  };
  return held;
}
