// The glance: countdown and card as plain text, on the screen before Flutter and Python
// are. It counts whole days between dates and works out nothing else: every date in it was
// computed by the core, at the last save, and written out there in the person's language,
// as were the sentences. Without facts that have them, the page's own are English.
const glance = (() => {
  const KEY = "pocketpump.glance";
  const TONGUE = "pocketpump.language";
  const STALE_DAYS = 30;
  const area = document.getElementById("glance");
  const page = document.getElementById("glance-page");
  const title = document.getElementById("glance-title");
  const says = document.getElementById("glance-says");
  let words = PAGE.words.en;
  let written = {};
  const fill = (template, values) => template.replace(/\{(\w+)\}/g, (_, name) => values[name]);
  const shown = (text) => {
    const iso = (text || "").slice(0, 10);
    return written[iso] ?? iso;
  };
  // A visit in time answers the call until its day is over.
  const booked = (facts) => daysTo(facts.booked_on) !== null && daysTo(facts.booked_on) >= 0;

  // The states come gravest first, as the core lists them; a test holds the two together.
  const holds = (one) => (!one.from_at || Date.parse(one.from_at) <= Date.now())
    && (!one.from_on || daysTo(one.from_on) <= 0)
    && (!one.until_on || daysTo(one.until_on) >= 0);

  function notices(facts) {
    const out = [];
    const now = (facts.states || []).find(holds);
    if (now) {
      const look = now.grave ? "notice serious" : now.state === "calm" ? "calm" : "notice";
      out.push([`state ${look}`, now.text]);
    }
    const age = -daysTo(facts.computed_at);
    if (age > STALE_DAYS) {
      out.push(["notice", fill(words.old, { count: age })]);
    }
    return out;
  }

  function count(facts) {
    const left = daysTo(facts.refill_by);
    if (facts.stopped) return [["count", "–"], ["unit", words.stopped]];
    if (left === null) return [];
    const unit = left > 0 ? words[left === 1 ? "day_to" : "days_to"]
      : left === 0 ? words.due : words[left === -1 ? "day_past" : "days_past"];
    return [["count", String(Math.abs(left))], ["unit", unit], ["on", shown(facts.refill_by)]];
  }

  function rows(facts) {
    const out = [];
    const window = facts.alarm_earliest_on && facts.alarm_latest_on
      ? fill(words.window, {
        first: shown(facts.alarm_earliest_on), last: shown(facts.alarm_latest_on),
      }) : "";
    out.push([words.alarm, shown(facts.alarm_on) || words.no_alarm, window]);
    if (facts.clinic_alarm_on && facts.clinic_alarm_on !== facts.alarm_on) {
      out.push([words.clinic_alarm, shown(facts.clinic_alarm_on)]);
    }
    if (facts.call_by && !booked(facts)) out.push([words.call, shown(facts.call_by)]);
    if (facts.empty_on) out.push([words.empty, shown(facts.empty_on)]);
    out.push([words.worked_out, shown(facts.computed_at)]);
    return out;
  }

  function counted(facts) {
    const part = document.createElement("section");
    if (!facts.computed_at) return part;
    for (const [name, text] of notices(facts)) put(part, "p", text, name);
    const head = put(part, "div", "", "head");
    const picture = facts.reservoir && drawReservoir(facts.reservoir, -daysTo(facts.computed_at));
    if (picture) head.append(picture);
    const figures = put(head, "div");
    for (const [name, text] of count(facts)) put(figures, "p", text, name);
    return part;
  }

  function dated(facts) {
    const part = document.createElement("section");
    if (!facts.computed_at) return part;
    const list = put(part, "dl", "", "panel");
    for (const [label, value, note] of rows(facts)) {
      const row = put(list, "div");
      put(row, "dt", label);
      put(row, "dd", value);
      if (note) put(row, "dd", note, "note");
    }
    return part;
  }

  const language = () => facts?.language || held(TONGUE) || "en";
  const nameLanguage = () => {
    if (document.documentElement.lang !== language()) document.documentElement.lang = language();
  };

  function speak() {
    // Facts of an older version lack the newer sentences.
    words = { ...PAGE.words.en, ...PAGE.words[language()], ...facts?.words };
    written = facts?.written || {};
    nameLanguage();
    for (const node of document.querySelectorAll("[data-say]")) {
      const text = node.dataset.text
        || fill(words[node.dataset.say] ?? "", {
          file: node.dataset.file, place: words[`place_${node.dataset.place}`] ?? "",
        });
      if (node.textContent !== text) node.textContent = text;
    }
    for (const node of document.querySelectorAll("[data-label]")) {
      node.setAttribute("aria-label", words[node.dataset.label]);
    }
  }

  function render(facts) {
    const place = document.getElementById("glance-facts");
    const dates = document.getElementById("glance-dates");
    const card = document.getElementById("glance-card");
    document.getElementById("as-saved").hidden = !facts || !says.classList.contains("trouble");
    area.dataset.state = facts ? "facts" : "empty";
    checkIn.offer(Boolean(facts?.epoch));
    turnTo(turnedTo);
    const told = document.createElement("div");
    if (!whole) put(told, "p", words.left_out, "notice");
    swap(place, ...told.children, ...(facts ? [counted(facts)] : []));
    swap(dates, ...(facts ? [dated(facts)] : []));
    swap(card, ...(facts ? [drawCard(facts.card)] : []));
    if (facts) swap(document.getElementById("calls-numbers"), drawNumbers(facts.card, words));
  }

  // What is as it was stays: a keyboard or a screen reader may be on it.
  function swap(place, ...fresh) {
    const old = [...place.childNodes];
    const same = old.length === fresh.length && old.every((one, at) => one.isEqualNode(fresh[at]));
    if (!same) place.replaceChildren(...fresh);
  }

  // The card stands first when it was asked for, and has no bar, as in the app.
  let turnedTo = "/today";
  let cardFirst = false;
  function turnTo(place) {
    turnedTo = place;
    const asked = place === "/card" && Boolean(facts);
    document.getElementById("places").hidden = !facts || asked;
    document.getElementById("glance-back").hidden = !asked;
    title.textContent = facts && !asked ? words.place_today : PAGE.name;
    const card = document.getElementById("glance-card");
    if (asked !== cardFirst) {
      if (asked) title.after(card);
      else document.getElementById("glance-dates").after(card);
    }
    cardFirst = asked;
  }

  function badge(facts) {
    const left = facts ? daysTo(facts.refill_by) : null;
    try {
      if (left === null) navigator.clearAppBadge?.()?.catch(() => {});
      else navigator.setAppBadge?.(Math.max(0, left))?.catch(() => {});
    } catch { /* a badge is a nicety */ }
  }

  // Apart from the facts: when these cannot be read, the page still speaks as the person does.
  const held = (key) => {
    try {
      return localStorage.getItem(key);
    } catch {
      return null;
    }
  };
  const keep = (facts) => {
    try {
      if (facts) localStorage.setItem(KEY, JSON.stringify(facts));
      else localStorage.removeItem(KEY);
      if (facts?.language) localStorage.setItem(TONGUE, facts.language);
      else localStorage.removeItem(TONGUE);
    } catch { /* the durable copy is the worker's file */ }
  };

  function say(name, text = "", place = "") {
    const status = document.getElementById("glance-status");
    Object.assign(status.dataset, { say: name, text, place });
    speak();
  }

  const redraw = () => hold.whenFree(() => {
    if (!area.hidden) render(facts);
  });

  let { facts, whole } = readFacts(held(KEY));
  speak();
  onceGlanceIsPainted(() => badge(facts));
  // Flutter names the language of its own widgets there, whatever the screens are in.
  new MutationObserver(nameLanguage).observe(document.documentElement, { attributeFilter: ["lang"] });

  // localStorage is the fastest to read, yet the browser may write it late and lose the
  // last save when it is killed. The worker's own file is flushed at every save: if it says
  // something else, it is right.
  onceGlanceIsPainted(async () => {
    try {
      const file = (await storedFiles(PAGE.folder, PAGE.glanceFile)).get(PAGE.glanceFile);
      const text = await file?.text();
      // An empty file says nothing; that there are no facts is said by "null".
      if (!text || text === held(KEY)) return;
      const found = readFacts(text);
      if (!found.whole && whole && facts) return;
      ({ facts, whole } = found);
      if (whole) keep(JSON.parse(text)); // as it stands there, so that the two are found equal
      speak();
      redraw();
      badge(facts);
    } catch { /* first visit, or no private files */ }
  });

  // Another window has saved.
  addEventListener("storage", ({ key, newValue }) => {
    if (key !== KEY) return;
    ({ facts, whole } = readFacts(newValue));
    speak();
    redraw();
  });

  return {
    save(value) {
      ({ facts, whole } = readFacts(JSON.stringify(value)));
      keep(value);
      badge(facts);
      speak();
      redraw();
    },
    refresh() {
      badge(facts);
      redraw();
    },
    // Drawn the first time when all of the page's scripts are there.
    begin: () => render(facts),
    epoch: () => facts?.epoch ?? "",
    turnTo,
    // What was asked for needs the app: it is said where it is seen. "" where nothing was.
    waitFor(place) {
      const waits = says.classList.toggle("waiting", Boolean(place));
      if (says.classList.contains("trouble")) return; // more is said there
      if (waits) title.after(says);
      else page.append(says);
      const name = place.slice(1);
      say(words[`place_${name}`] ? "opening_place" : "opening", "", name);
    },
    appIsReady() {
      if (says.classList.contains("waiting")) return;
      document.getElementById("glance-status").hidden = true;
      document.getElementById("all-of-today").hidden = false;
    },
    // What kept the app away has passed, and the page stays.
    calm: (isReady) => hold.whenFree(() => {
      says.classList.remove("trouble");
      document.getElementById("glance-ways").hidden = true;
      document.getElementById("glance-status").hidden = isReady;
      document.getElementById("all-of-today").hidden = !isReady;
      if (!isReady) say("opening");
      page.append(says);
      render(facts);
    }),
    // `restMs` after a tap on the page the app takes none: a hand that jerks taps twice.
    handOver: (restMs = 0, after = null) => hold.whenFree(() => {
      area.hidden = true;
      const view = document.querySelector("flutter-view");
      const wake = () => {
        if (view && area.hidden) view.inert = false;
        after?.();
      };
      // Flutter's part has no landmark of its own; the page has one main part at a time.
      view?.setAttribute("role", "main");
      performance.mark("app-shown");
      if (restMs) setTimeout(wake, restMs);
      else wake();
    }),
    // The page stands before the app again and says why: one of its words, or a sentence. Quietly
    // where somebody is at work on it: nothing moves under a finger.
    takeBack: (name, text, quietly) => hold.whenFree(() => {
      area.hidden = false;
      const view = document.querySelector("flutter-view");
      view?.removeAttribute("role");
      if (view) view.inert = true;
      says.classList.add("trouble");
      render(facts);
      // That stands above all else, not below the card.
      if (!quietly) document.getElementById("glance-facts").before(says);
      document.getElementById("glance-ways").hidden = false;
      if (!quietly) page.scrollTop = 0;
      document.getElementById("glance-status").hidden = false;
      document.getElementById("all-of-today").hidden = true;
      say(name, text);
    }),
    say,
    speak,
    language,
    isEmpty: () => !facts,
  };
})();
document.addEventListener("visibilitychange", () => glance.refresh());
setInterval(() => glance.refresh(), 60_000); // a page left open over midnight counts on
