// The check-in on the opening page: noted without waiting for the app. "Saved" is said when the
// finished entry is on the device (inbox.js), and not before.
const checkIn = (() => {
  const DRAWS_BACK_MS = 700; // a hand that jerks taps twice, and what it taps has moved by then
  const { kind, removal, draft } = PAGE.checkIn;
  const [whole, open, form, save, wrong, note, noted, undo, worries, calls] = [
    "ask", "how-is-it", "check-in", "check-in-save", "check-in-wrong", "check-in-note",
    "check-in-noted", "check-in-undo", "worries", "calls",
  ].map((name) => document.getElementById(name));
  const told = new BroadcastChannel(INBOX);
  let busy = false;
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
    const helper = document.getElementById("spasms-helper");
    helper.dataset.say = spasms ? `spasms_${spasms}` : "spasms_helper";
    // The way to take an answer away stands there once there is one.
    form.querySelector("[name=spasms][value='']").closest("label").hidden = !spasms;
    if (!spasms) for (const one of form.querySelectorAll("[name=spasms]")) one.checked = false;
    if (values().stiffness) wrong.hidden = true;
    glance.speak();
  }

  function unfold(isOpen) {
    form.hidden = !isOpen;
    open.setAttribute("aria-expanded", String(isOpen));
    if (isOpen) note.hidden = true;
  }

  function refuse(word) {
    wrong.dataset.say = word;
    wrong.hidden = false;
    glance.speak();
  }

  async function keep(document) {
    if (busy) return false;
    busy = true;
    try {
      await putInInbox({ form: 1, epoch: glance.epoch(), document });
      told.postMessage("noted");
      return true;
    } catch (error) {
      console.error(error);
      return false;
    } finally {
      busy = false;
    }
  }

  function say(word) {
    noted.dataset.say = word;
    note.hidden = false;
    undo.hidden = !last;
    glance.speak();
    hold.pause(DRAWS_BACK_MS);
  }

  async function submit() {
    const { stiffness, spasms } = values();
    if (!stiffness) {
      refuse("stiffness_needed");
      form.querySelector("[name=stiffness]").focus();
      return;
    }
    const payload = { stiffness: Number(stiffness) };
    if (spasms) payload.spasms = Number(spasms);
    const written = entry(kind, new Date(), payload);
    if (busy) return;
    if (!await keep(written)) {
      refuse("check_in_not_saved");
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
    if (!await keep(written)) return;
    last = null;
    say("taken_back");
    open.focus({ preventScroll: true });
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
    // It belongs to a record there is.
    offer(there) {
      whole.hidden = !there;
    },
    isBegun: () => !form.hidden && Object.keys(values()).length > 0,
    // What is half filled in goes on in the app; with `more` where there is more to answer.
    handOver(more = false) {
      const begun = { ...values(), ...(more ? { more: "yes" } : {}) };
      if (!form.hidden && Object.keys(begun).length) {
        python.worker?.postMessage({ kind: "begun", forms: { [draft]: begun } });
      }
      form.reset();
      unfold(false);
      note.hidden = true;
      last = null;
    },
  };
})();
