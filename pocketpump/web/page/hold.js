// A press of any length counts on the page's own links and buttons, as it does in the app. Held
// links open the browser's menu or are dragged away, and then no click comes: it is made here.
// What would draw the page anew waits meanwhile: nothing may go from under a finger.
const hold = (() => {
  // As far as Flutter lets a finger stray from where it came down.
  const TREMBLE_PX = 18;
  // A click that is to come has come by then.
  const CLICK_MS = 80;
  const ONCE_MS = 700;
  // A mouse may be let go outside of the window, of which nobody hears.
  const LONGEST_MS = 20_000;
  const pressed = (event) => event.target.closest?.(
    "#glance a, #glance button, #glance label, #update button, #asked button",
  );
  let held = null;
  let made = { target: null, at: -Infinity };
  const waiting = [];
  let pausedUntil = -Infinity;

  function letGo(press) {
    press.down = false;
    if (!held?.down) for (const act of waiting.splice(0)) act();
  }

  addEventListener("pointerdown", (event) => {
    const target = event.isPrimary && event.button === 0 && pressed(event);
    if (held) letGo(held);
    held = target ? { target, x: event.clientX, y: event.clientY, clicked: false, down: true } : null;
    if (held) setTimeout(letGo, LONGEST_MS, held);
  }, true);
  addEventListener("pointercancel", () => {
    if (held) letGo(held);
    held = null;
  }, true);
  for (const name of ["contextmenu", "dragstart"]) {
    addEventListener(name, (event) => {
      if (held && pressed(event) === held.target) event.preventDefault();
    }, true);
  }
  addEventListener("click", (event) => {
    const target = pressed(event);
    if (!target) return;
    if (performance.now() < pausedUntil) {
      event.preventDefault();
      event.stopImmediatePropagation();
    } else if (event.isTrusted && target === made.target && performance.now() - made.at < ONCE_MS) {
      event.preventDefault();
      event.stopImmediatePropagation();
    } else if (held?.target === target) {
      held.clicked = true;
    }
  }, true);
  addEventListener("pointerup", (event) => {
    const press = held;
    if (!press) return;
    const near = Math.hypot(event.clientX - press.x, event.clientY - press.y) <= TREMBLE_PX;
    setTimeout(() => {
      if (near && !press.clicked) {
        made = { target: press.target, at: performance.now() };
        press.target.click();
      }
      letGo(press);
    }, CLICK_MS);
  }, true);

  return {
    // No press counts for a while: something has just moved under the finger.
    pause(ms) {
      pausedUntil = performance.now() + ms;
    },
    // Do it now, or once nothing of the page is held any more.
    whenFree(act) {
      if (held?.down) waiting.push(act);
      else act();
    },
  };
})();
