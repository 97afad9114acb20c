// The check-in on the opening page: noted without waiting for the app. "Saved" is said when the
// finished entry is on the device (inbox.js), and not before.
const checkIn = (() => {
  const DRAWS_BACK_MS = 700; // a hand that jerks taps twice, and what it taps has moved by then
  const { kind, removal, draft } = PAGE.checkIn;
  const [whole, open, form, save, wrong, note, noted, undo, worries, calls] = [
    "ask", "how-is-it", "check-in", "check-in-save", "check-in-wrong", "check-in-note",
    "check-in-noted", "check-in-undo", "worries", "calls",
  ].map((name) => document.getElementById(name));
  const told = channelOf(INBOX);
  const SLOW_MS = 5000;
  const BEGUN = "pocketpump.begun";
  const MOMENT_MS = 600_000; // later it would be noted as of then
  let busy = null; // the promise of what is being kept
  let last = null;

  const two = (number) => String(number).padStart(2, "0");
  // As the wall clock here shows it, with its distance from UTC.
  function onTheWall(at) {
    const minutes = -at.getTimezoneOffset();
    const wall = new Date(at.getTime() + minutes * 60_000).toISOString().slice(0, -1);
    const size = Math.abs(minutes);
    return `${wall}${minutes < 0 ? "-" : "+"}${two(Math.floor(size / 60))}:${two(size % 60)}`;
  }
  function freshId() {
    if (crypto.randomUUID) return crypto.randomUUID(); // only where the page is secure
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
  }
  const entry = (of, at, payload, more = {}) => ({
    id: freshId(), kind: of, at: onTheWall(at),
    zone: Intl.DateTimeFormat().resolvedOptions().timeZone ?? "",
    written_at: new Date().toISOString().replace("Z", "+00:00"), payload, ...more,
  });

  const values = () => Object.fromEntries([...new FormData(form)].filter(([, text]) => text));

  function describe() {
    const { spasms } = values();
    const dash = form.querySelector("[name=spasms][value='']");
    const helper = document.getElementById("spasms-helper");
    helper.dataset.say = spasms ? `spasms_${spasms}` : "spasms_helper";
    // The way to take an answer away stands there once there is one.
    if (!spasms && dash === document.activeElement) {
      form.querySelector("[name=spasms]").focus({ preventScroll: true });
    }
    dash.closest("label").hidden = !spasms;
    if (!spasms) for (const one of form.querySelectorAll("[name=spasms]")) one.checked = false;
    if (values().stiffness) wrong.dataset.say = "";
    glance.speak();
  }

  // Said anew each time, so that it is heard each time.
  function tell(place, word) {
    place.dataset.say = "";
    glance.speak();
    requestAnimationFrame(() => {
      place.dataset.say = word;
      glance.speak();
    });
  }

  function unfold(isOpen) {
    form.hidden = !isOpen;
    open.setAttribute("aria-expanded", String(isOpen));
    if (isOpen) hush();
  }

  function hush() {
    noted.dataset.say = "";
    note.classList.remove("notice");
    undo.hidden = true;
    glance.speak();
  }

  async function keep(document) {
    const slow = setTimeout(tell, SLOW_MS, wrong, "check_in_slow");
    busy = putInInbox({ form: 1, epoch: glance.epoch(), document }).then(() => true, (error) => {
      console.error(error);
      return false;
    });
    const kept = await busy;
    busy = null;
    clearTimeout(slow);
    if (kept) {
      wrong.dataset.say = "";
      if (told) told.postMessage("noted");
      else python.worker?.postMessage({ kind: "noted" });
    }
    return kept;
  }

  function say(word) {
    note.classList.add("notice");
    undo.hidden = !last;
    tell(noted, word);
    hold.pause(DRAWS_BACK_MS);
  }

  async function submit() {
    const { stiffness, spasms } = values();
    if (!stiffness) {
      tell(wrong, "stiffness_needed");
      form.querySelector("[name=stiffness]").focus();
      return;
    }
    const payload = { stiffness: Number(stiffness) };
    if (spasms) payload.spasms = Number(spasms);
    const written = entry(kind, new Date(), payload);
    if (busy) return;
    if (!await keep(written)) {
      tell(wrong, "check_in_not_saved");
      return;
    }
    last = written;
    form.reset();
    describe();
    unfold(false);
    open.focus({ preventScroll: true });
    say("check_in_saved");
  }

  async function takeBack() {
    const gone = last;
    if (!gone || busy) return;
    const { at, zone } = gone;
    const written = { ...entry(removal, new Date(), {}, { removes: gone.id }), at, zone };
    if (!await keep(written)) {
      say("undo_not_kept");
      return;
    }
    last = null;
    say("taken_back");
    open.focus({ preventScroll: true });
  }

  // Loading the page again costs nothing that was tapped, and brings back nothing old.
  addEventListener("pagehide", () => {
    const begun = form.hidden || busy ? {} : values();
    try {
      if (Object.keys(begun).length) sessionStorage.setItem(BEGUN, JSON.stringify([Date.now(), begun]));
      else sessionStorage.removeItem(BEGUN);
    } catch { /* then it is tapped again */ }
  });
  function goOn() {
    form.reset();
    let [at, begun] = [0, {}];
    try {
      [at, begun] = JSON.parse(sessionStorage.getItem(BEGUN)) ?? [0, {}];
      sessionStorage.removeItem(BEGUN);
    } catch { /* nothing was begun */ }
    const age = Date.now() - at;
    if (age < 0 || age > MOMENT_MS) return;
    for (const [name, value] of Object.entries(begun)) form.elements[name].value = value;
    unfold(true);
    describe();
  }

  open.addEventListener("click", () => {
    unfold(form.hidden);
    hold.pause(DRAWS_BACK_MS);
  });
  form.addEventListener("change", describe);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    submit();
  });
  save.addEventListener("click", submit);
  undo.addEventListener("click", takeBack);
  worries.addEventListener("click", () => {
    calls.hidden = !calls.hidden;
    worries.setAttribute("aria-expanded", String(!calls.hidden));
  });

  return {
    unfold,
    goOn,
    // It belongs to a record there is.
    offer(there) {
      whole.hidden = !there;
    },
    isBegun: () => !form.hidden && Object.keys(values()).length > 0,
    // What is half filled in goes on in the app; with `more` where there is more to answer.
    handOver(more = false) {
      const begun = { ...values(), ...(more ? { more: "yes" } : {}) };
      const isBegun = !form.hidden && Object.keys(begun).length > 0;
      // What is being kept just now is half filled in only if it could not be.
      Promise.resolve(busy).then((kept) => {
        if (isBegun && !kept) python.worker?.postMessage({ kind: "begun", forms: { [draft]: begun } });
      });
      form.reset();
      unfold(false);
      hush();
      last = null;
    },
  };
})();
