// Reads the facts the page shows, whatever is in them: what is not of its shape is left out, and
// said to be.
const readFacts = (() => {
  const text = (value) => (typeof value === "string" ? value : undefined);
  const flag = (value) => (typeof value === "boolean" ? value : undefined);
  // A day, or an instant that begins with one.
  const day = (value) => {
    const [written] = /^\d{4}-\d\d-\d\d/.exec(text(value) ?? "") ?? [];
    const at = written ? Date.parse(written) : NaN;
    const isDay = !Number.isNaN(at) && new Date(at).toISOString().startsWith(written);
    return isDay ? value : undefined;
  };
  const instant = (value) => (day(value) && !Number.isNaN(Date.parse(value)) ? value : undefined);
  const dial = (value) => (/^\+?[\d*#]+$/.test(text(value) ?? "") ? value : undefined);
  const isPlain = (value) => typeof value === "object" && value !== null && !Array.isArray(value);

  let whole = true;
  // Nothing is not told; anything else that does not fit is.
  const fitting = (value, read) => {
    if (value === null || value === undefined) return undefined;
    const found = read(value);
    if (found === undefined) whole = false;
    return found;
  };
  const members = (shape, needed = []) => (value) => {
    if (!isPlain(value)) return undefined;
    const found = {};
    for (const [name, read] of Object.entries(shape)) {
      const part = fitting(value[name], read);
      if (part !== undefined) found[name] = part;
    }
    return needed.every((name) => name in found) ? found : undefined;
  };
  const all = (read) => (value) => (Array.isArray(value)
    ? value.map((one) => fitting(one ?? NaN, read)).filter((one) => one !== undefined)
    : undefined);
  // All of it as it should be, or nothing.
  const strictly = (read) => (value) => {
    const before = whole;
    whole = true;
    const found = read(value);
    const good = whole;
    whole = before && good;
    return good ? found : undefined;
  };
  const named = (read) => (value) => (isPlain(value)
    ? Object.fromEntries(Object.entries(value).map(([name, one]) => [name, fitting(one, read)])
      .filter(([, one]) => one !== undefined))
    : undefined);

  const state = members({
    state: text, grave: flag, text, from_at: instant, from_on: day, until_on: day,
  }, ["text"]);
  const line = members({
    part: text, label: text, text, weight: text, phone: text, dial, original: text, from: day, to: day,
  }, ["text"]);
  const number = (value) => (Number.isFinite(value) ? value : undefined);
  const inOrder = (...reads) => (value) => (Array.isArray(value) && value.length === reads.length
    && reads.every((read, at) => read(value[at]) !== undefined) ? value : undefined);
  // A picture with something left out would be another picture.
  const reservoir = strictly(members({
    box: inOrder(number, number, number, number, number), days: all(inOrder(number, number, text)),
    marks: all(inOrder(number, number, text, flag)), spoken: text,
  }, ["box", "days", "marks", "spoken"]));
  const card = members({
    language: text, title: text, maybe_empty: text, stale: text, stale_from: day, low_from: day,
    originals: named(text), lines: all(line),
  });
  const facts = members({
    // One state less, or one without its bounds, and a milder or a graver one would be said.
    language: text, epoch: text, words: named(text), written: named(text), computed_at: day, stopped: flag,
    refill_by: day, call_by: day, booked_on: day, alarm_on: day, alarm_earliest_on: day,
    alarm_latest_on: day, empty_on: day, clinic_alarm_on: day, states: strictly(all(state)), card,
    reservoir,
  });

  return (json) => {
    whole = true;
    let found;
    try {
      found = fitting(JSON.parse(json), facts);
    } catch {
      whole = false;
    }
    return { facts: found ?? null, whole };
  };
})();
