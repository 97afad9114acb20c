// The emergency card and the numbers on it as plain text, and whole days between dates.
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

function put(parent, tag, text, name) {
  const node = document.createElement(tag);
  if (text) node.textContent = text;
  if (name) node.className = name;
  parent.append(node);
  return node;
}

// A line of the card: what it is, what it says, and a number that can be dialled.
function lineRow(parent, line) {
  const row = put(parent, "p", "", line.weight);
  row.dir = "auto";
  if (line.label) put(row, "span", `${line.label}: `, "label");
  put(row, "span", line.text, "text");
  if (line.phone) put(row, line.dial ? "a" : "span", line.phone, "phone");
  if (line.phone && line.dial) row.lastChild.href = `tel:${line.dial}`;
  return row;
}

// Whom to call: the numbers of the card.
function drawNumbers(card, words) {
  const part = document.createElement("div");
  const numbers = (card?.lines ?? []).filter((line) => line.phone);
  if (!numbers.length) {
    put(part, "p", words.no_numbers);
    return part;
  }
  part.className = "panel";
  for (const line of numbers) lineRow(part, line);
  return part;
}

function drawCard(card) {
  const part = document.createElement("section");
  if (!card) return part;
  const { lines, language, originals, stale_from: staleFrom, low_from: lowFrom } = card;
  part.lang = language || "en";
  const original = (node, text) => {
    if (text) put(node, "span", text, "original").lang = "en";
  };
  const head = (tag, key, name) =>
    card[key] && original(put(part, tag, card[key], name), originals?.[key]);
  head("h2", "title");
  if (lowFrom && daysTo(lowFrom) <= 0) head("p", "maybe_empty", "notice serious");
  if (staleFrom && daysTo(staleFrom) <= 0) head("p", "stale", "notice serious");
  const panel = put(part, "div", "", "panel");
  let facts4 = null;
  for (const line of lines || []) {
    // What is said of a trip holds on its days alone.
    if (line.from && (daysTo(line.from) > 0 || daysTo(line.to) < 0)) continue;
    // The four facts stand side by side.
    if (line.part !== "facts") facts4 = null;
    else facts4 ??= put(panel, "div", "", "facts");
    original(lineRow(facts4 ?? panel, line), line.original);
  }
  return part;
}
