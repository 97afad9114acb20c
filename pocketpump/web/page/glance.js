// The glance: countdown and card as plain text, on the screen before Flutter and Python
// are. It counts whole days between dates and works out nothing else: every date in it was
// computed by the core, at the last save.
const glance = (() => {
  const KEY = "pocketpump.glance";
  const STALE_DAYS = 30;
  const area = document.getElementById("glance");
  const day = (text) => {
    const [, y, m, d] = /^(\d{4})-(\d\d)-(\d\d)/.exec(text || "") || [];
    return y ? Date.UTC(+y, +m - 1, +d) / 864e5 : null;
  };
  const today = () => {
    const now = new Date();
    return Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) / 864e5;
  };
  const daysTo = (text) => {
    const at = day(text);
    return at === null ? null : at - today();
  };
  const shown = (text) => {
    const at = day(text);
    if (at === null) return "";
    return new Date(at * 864e5).toLocaleDateString(undefined, {
      timeZone: "UTC", weekday: "short", day: "numeric", month: "long", year: "numeric",
    });
  };
  const plural = (n, word) => `${n} ${word}${n === 1 ? "" : "s"}`;

  function lines(facts) {
    const left = daysTo(facts.refill_by);
    const out = [];
    if (left !== null) {
      if (left > 0) out.push(["count", String(left)], ["unit", `${left === 1 ? "day" : "days"} to refill-by`]);
      else if (left === 0) out.push(["count", "Today"], ["unit", "is the refill-by date"]);
      else out.push(["count", plural(-left, "day")], ["unit", "past the refill-by date. Call your clinic."]);
      out.push(["line", `Refill by ${shown(facts.refill_by)}`]);
    }
    const alarm = daysTo(facts.alarm_on);
    if (alarm !== null) {
      const window = facts.alarm_earliest_on && facts.alarm_latest_on
        ? ` (between ${shown(facts.alarm_earliest_on)} and ${shown(facts.alarm_latest_on)})` : "";
      out.push(["line", `${alarm < 0 ? "The alarm date has passed: " : "Alarm date "}${shown(facts.alarm_on)}${window}`]);
    }
    if (facts.empty_on) out.push(["line", `Empty ${shown(facts.empty_on)}`]);
    const age = daysTo(facts.computed_at);
    if (age !== null) {
      out.push(["note", `As of ${shown(facts.computed_at)}.${-age > STALE_DAYS ? ` That is ${plural(-age, "day")} ago: check it in the app.` : ""}`]);
    }
    return out;
  }

  function put(parent, tag, text, name) {
    const node = document.createElement(tag);
    node.textContent = text;
    if (name) node.className = name;
    parent.append(node);
  }

  function render(facts) {
    const place = document.getElementById("glance-facts");
    place.replaceChildren();
    area.dataset.state = facts ? "facts" : "empty";
    if (!facts) return;
    const count = document.createElement("section");
    for (const [name, text] of lines(facts)) put(count, "p", text, name);
    const card = document.createElement("section");
    if (facts.card) {
      put(card, "h2", String(facts.card.title || "Card"));
      for (const text of facts.card.lines || []) put(card, "p", String(text));
    }
    const sections = location.hash.startsWith("#/card") ? [card, count] : [count, card];
    place.append(...sections.filter((section) => section.childNodes.length));
    badge(facts);
  }

  function badge(facts) {
    const left = facts ? daysTo(facts.refill_by) : null;
    try {
      if (left === null) navigator.clearAppBadge?.()?.catch(() => {});
      else navigator.setAppBadge?.(Math.max(0, left))?.catch(() => {});
    } catch { /* a badge is a nicety */ }
  }

  const read = () => {
    try {
      return JSON.parse(localStorage.getItem(KEY));
    } catch {
      return null;
    }
  };
  const keep = (facts) => {
    try {
      if (facts) localStorage.setItem(KEY, JSON.stringify(facts));
      else localStorage.removeItem(KEY);
    } catch { /* the durable copy is the worker's file */ }
  };

  let facts = read();
  render(facts);
  requestAnimationFrame(() => requestAnimationFrame(() => {
    performance.mark("glance-painted", { detail: { facts: Boolean(facts) } });
  }));

  // localStorage is the fastest to read, yet the browser may write it late and lose the
  // last save when it is killed. The worker's own file is flushed at every save: if it says
  // something else, it is right.
  (async () => {
    try {
      const root = await navigator.storage.getDirectory();
      const folder = await root.getDirectoryHandle(PAGE.folder);
      const text = await (await (await folder.getFileHandle(PAGE.glanceFile)).getFile()).text();
      performance.mark("glance-file-read");
      if (text === JSON.stringify(facts) || (!text && !facts)) return;
      facts = text ? JSON.parse(text) : null;
      keep(facts);
      render(facts);
    } catch { /* first visit, or no private files */ }
  })();

  return {
    save(value) {
      facts = value;
      keep(value);
      badge(value);
      if (!area.hidden) render(value);
    },
    refresh: () => area.hidden || render(facts),
    handOver() {
      area.hidden = true;
      performance.mark("app-shown");
    },
    say(text) {
      document.getElementById("glance-status").textContent = text;
    },
  };
})();
document.addEventListener("visibilitychange", () => glance.refresh());
