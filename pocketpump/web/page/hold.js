// A press of any length counts on the page's own links and buttons, as it does in the app. Held
// links open the browser's menu or are dragged away, and then no click comes: it is made here.
(() => {
  // As far as Flutter lets a finger stray from where it came down.
  const TREMBLE_PX = 18;
  // A click that is to come has come by then.
  const CLICK_MS = 80;
  const ONCE_MS = 700;
  const pressed = (event) => event.target.closest?.("#glance a, #glance button, #update button");
  let held = null;
  let made = { target: null, at: -Infinity };

  addEventListener("pointerdown", (event) => {
    const target = event.isPrimary && event.button === 0 && pressed(event);
    held = target ? { target, x: event.clientX, y: event.clientY, clicked: false } : null;
  }, true);
  addEventListener("pointercancel", () => { held = null; }, true);
  for (const name of ["contextmenu", "dragstart"]) {
    addEventListener(name, (event) => {
      if (held && pressed(event) === held.target) event.preventDefault();
    }, true);
  }
  addEventListener("click", (event) => {
    const target = pressed(event);
    if (!target) return;
    if (event.isTrusted && target === made.target && performance.now() - made.at < ONCE_MS) {
      event.preventDefault();
      event.stopImmediatePropagation();
    } else if (held?.target === target) {
      held.clicked = true;
    }
  }, true);
  addEventListener("pointerup", (event) => {
    const press = held;
    if (!press || Math.hypot(event.clientX - press.x, event.clientY - press.y) > TREMBLE_PX) return;
    setTimeout(() => {
      if (press.clicked) return;
      made = { target: press.target, at: performance.now() };
      press.target.click();
    }, CLICK_MS);
  }, true);
})();
