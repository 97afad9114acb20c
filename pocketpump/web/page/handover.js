// From the opening page to the app: the page stays while it is read or touched, and gives way on a
// tap that asks for the app, or unseen while nobody has touched it. The bar is there from the
// start, and a tap on it is kept until there is an app.
const handover = (() => {
  const IDLE_MS = 15_000;
  const LATEST_MS = 1500;
  const REST_MS = 600;
  // What the page itself can show.
  const OURS = ["/today", "/card", "/check-in"];
  const area = document.getElementById("glance");
  const page = document.getElementById("glance-page");
  const bar = document.getElementById("places");
  let ready = false;
  let given = false;
  let going = false;
  let wanted = ""; // what the person asked for and the page cannot show
  let focused = null;
  let more = false; // of the check-in
  let touchedAt = null;

  const here = () => location.hash.slice(1).split("?")[0] || "/today";

  function show() {
    const place = here();
    for (const one of bar.querySelectorAll("a")) {
      if (one.hash === `#${place}`) one.setAttribute("aria-current", "page");
      else one.removeAttribute("aria-current");
    }
    glance.turnTo(place);
    wanted = OURS.includes(place) && !(more && place === "/check-in") ? "" : place;
    if (!ready) glance.waitFor(wanted);
    if (place === "/check-in" && !glance.isEmpty()) checkIn.unfold(true);
  }

  // The same words in the app are where the person's hand or screen reader goes on.
  function focusAlike(words, left = 20) {
    if (!words || !left) return;
    const found = [...document.querySelectorAll("flt-semantics[tabindex]")].find(
      (node) => (node.getAttribute("aria-label") ?? node.textContent).trim() === words,
    );
    found?.focus();
    // The tree of names follows the picture, and is made anew with it.
    if (!found || document.activeElement !== found) setTimeout(focusAlike, 100, words, left - 1);
  }

  function give(restMs = 0) {
    if (given || trouble.stands()) return;
    // Only from the page, or where Flutter's start has taken it from there.
    const isHeld = focused && (area.contains(document.activeElement)
      || document.activeElement === document.body);
    const words = isHeld ? focused.textContent.trim() : "";
    given = true;
    covering.disconnect();
    going = false;
    checkIn.handOver(more);
    glance.handOver(restMs, () => focusAlike(words));
  }

  function take(route) {
    checkIn.handOver(more);
    if (here() === route) {
      give(REST_MS);
      return;
    }
    going = true;
    python.afterNextDrawing(() => give(REST_MS), LATEST_MS);
    location.hash = `#${route}`;
  }

  function tapped(event) {
    const link = event.target.closest?.("#glance a[href^='#/']");
    if (!link) return;
    event.preventDefault();
    const route = link.hash.slice(1);
    more = link.hasAttribute("data-more");
    if (trouble.stands()) {
      // At the head it is said why there is no app, and what helps.
      if (OURS.includes(route) && !more) location.hash = `#${route}`;
      page.scrollTop = 0;
      return;
    }
    if (ready) {
      take(route);
      return;
    }
    location.hash = `#${route}`;
    show(); // what follows the new address comes a little later
    page.scrollTop = 0;
  }

  area.addEventListener("focusin", ({ target }) => { focused = target; });

  // The app takes no key and no focus from behind the page.
  const covering = new MutationObserver(() => {
    const view = document.querySelector("flutter-view");
    if (view) view.inert = true;
  });
  covering.observe(document.body, { childList: true });

  const touch = () => { touchedAt = performance.now(); };
  for (const name of ["pointerdown", "keydown", "wheel", "touchmove"]) {
    area.addEventListener(name, touch, { capture: true, passive: true });
  }

  const isAtRest = () => touchedAt === null || (
    performance.now() - touchedAt > IDLE_MS && page.scrollTop === 0 && !checkIn.isBegun()
    && document.getElementById("calls").hidden
  );

  function consider() {
    if (!ready || given || going || trouble.stands()) return;
    if (wanted) {
      // Where the app stands it has been told by the address; it may still be drawing that.
      python.afterNextDrawing(() => give(REST_MS), 300);
      going = true;
    } else if (glance.isEmpty() || isAtRest()) {
      give();
    }
  }

  area.addEventListener("click", tapped);
  addEventListener("hashchange", () => {
    if (!given || trouble.stands()) show();
  });
  setInterval(consider, 1000);
  glance.begin();
  show();
  checkIn.goOn();

  return {
    ready() {
      ready = true;
      glance.appIsReady();
      consider();
    },
    isGiven: () => given,
    isTouched: () => touchedAt !== null,
    isReady: () => ready,
    // The app is gone for good: the page is all there is.
    lost() {
      ready = given = going = false;
    },
  };
})();
