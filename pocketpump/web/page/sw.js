// The service worker: one cache per release, filled at install, never mixed.
const RELEASE = /*RELEASE*/ null;
const CACHE = `pocketpump-${RELEASE.id}`;
// Kept from release to release: what was shared with the app, the day of the last reminder.
const BESIDE = "beside-pocketpump";
const ROOT = new URL("./", self.location.href);
const urlOf = (path) => new URL(path, ROOT).href;
const HASHES = new Map(RELEASE.files.map(([path, hash]) => [urlOf(path), hash]));

// Only Chromium's engine has this; Flutter asks for the smaller drawing engine there.
const OTHER_ENGINE = Intl.v8BreakIterator ? "canvaskit/canvaskit." : "canvaskit/chromium/";
const wanted = RELEASE.files.filter(
  ([path, , late]) => !late && !path.includes(`/${OTHER_ENGINE}`),
);

const hex = (buffer) =>
  Array.from(new Uint8Array(buffer), (byte) => byte.toString(16).padStart(2, "0")).join("");

async function isRight(response, hash) {
  if (!response.ok || response.type === "opaque") return false;
  return hex(await crypto.subtle.digest("SHA-256", await response.clone().arrayBuffer())) === hash;
}

// Where an equal file may already be: an older release's cache, then the browser's own HTTP
// cache (the page has just fetched most of them), then the server past every cache.
async function obtain(url, hash, known) {
  const older = known.get(hash);
  if (older) {
    const response = await caches.match(older);
    if (response && (await isRight(response, hash))) return response;
  }
  for (const cache of ["default", "reload"]) {
    const response = await fetch(url, { cache, credentials: "same-origin" });
    if (await isRight(response, hash)) return response;
  }
  throw new Error(`${url} is not the file this release was built with`);
}

async function olderFiles() {
  const known = new Map();
  for (const name of await caches.keys()) {
    if (!name.startsWith("pocketpump-") || name === CACHE) continue;
    const list = await (await caches.open(name)).match(urlOf("release.json"));
    if (!list) continue;
    for (const [path, hash] of (await list.json()).files) known.set(hash, urlOf(path));
  }
  return known;
}

// What is whole has its list, which is written last.
const isWhole = async (name) => Boolean(await (await caches.open(name)).match(urlOf("release.json")));

// Nothing is thrown away while a version is being fetched.
const LOCK = "pocketpump-cache";

async function fill() {
  const cache = await caches.open(CACHE);
  const known = await olderFiles();
  const queue = [...wanted];
  const next = async () => {
    for (let entry = queue.shift(); entry; entry = queue.shift()) {
      const url = urlOf(entry[0]);
      if (await cache.match(url)) continue;
      await cache.put(url, await obtain(url, entry[1], known));
    }
  };
  try {
    await Promise.all([next(), next()]);
    const list = new Response(JSON.stringify(RELEASE), {
      headers: { "content-type": "application/json" },
    });
    await cache.put(urlOf("release.json"), list);
  } catch (error) {
    queue.length = 0;
    // Half an update only takes room, which the record may need. Of the first version nothing
    // else is there: the next try goes on where this one stopped.
    if (self.registration.active && !(await isWhole(CACHE))) await caches.delete(CACHE);
    throw error;
  }
}

self.addEventListener("install", (event) => {
  event.waitUntil(navigator.locks ? navigator.locks.request(LOCK, fill) : fill());
});

// An update that was cut off cannot clear up after itself.
async function tidy(lock) {
  if (!lock) return;
  for (const name of await caches.keys()) {
    if (name.startsWith("pocketpump-") && !(await isWhole(name))) await caches.delete(name);
  }
}

// Chromium compiles every function of a script that is cached during install, and loading
// all that code again takes longer than the script itself: 0.6 s at each start for Flutter's
// 10 MB. Cached at any other time, a script gets the code of the functions that really ran.
async function forgetEagerCode() {
  const cache = await caches.open(CACHE);
  for (const [path] of wanted) {
    if (!/\.m?js$/.test(path)) continue;
    const response = await cache.match(urlOf(path));
    if (response) await cache.put(urlOf(path), response);
  }
}

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("pocketpump-") && name !== CACHE) await caches.delete(name);
    }
    await forgetEagerCode();
    await self.clients.claim();
  })());
});

self.addEventListener("message", (event) => {
  if (event.data?.kind === "take-over") self.skipWaiting();
  if (event.data?.kind === "tidy") {
    event.waitUntil(navigator.locks?.request(LOCK, { ifAvailable: true }, tidy));
  }
});

// A file that another app shares with this one waits here until the page has given it on.
async function keepShared(request) {
  const form = await request.formData().catch(() => null);
  const file = form?.get("file");
  if (file instanceof File) {
    const about = { "x-name": encodeURIComponent(file.name) };
    await (await caches.open(BESIDE)).put(urlOf("shared"), new Response(file, { headers: about }));
  }
  return Response.redirect(ROOT.href, 303);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method === "POST" && request.mode === "navigate" && request.url === urlOf("share")) {
    event.respondWith(keepShared(request));
    return;
  }
  if (request.method !== "GET" || request.headers.has("range")) return;
  const url = new URL(request.url);
  if (url.origin !== ROOT.origin || !url.pathname.startsWith(ROOT.pathname)) return;
  if (request.mode === "navigate") {
    const inside = url.pathname.slice(ROOT.pathname.length);
    if (inside === "" || inside === "index.html") event.respondWith(answer(urlOf("index.html"), request));
    return;
  }
  url.search = "";
  url.hash = "";
  if (HASHES.has(url.href)) event.respondWith(answer(url.href, request));
});

async function answer(url, request) {
  const cache = await caches.open(CACHE);
  const found = await cache.match(url);
  if (found) return found;
  const response = await fetch(request);
  // Parts left for later (licences, the other engine) are kept once somebody asks for them.
  if (await isRight(response, HASHES.get(url))) await cache.put(url, response.clone());
  return response;
}

// ---- reminder: where the browser wakes an installed app now and then ----------------------

// Of facts that an older version wrote.
const USUAL_DAYS = 14;

// Each gives what is said to whom wants more said, "" for nothing, and in how many days it is.
function ofRefill(left, days, words) {
  const counted = words[left === 1 ? "remind_day" : "remind_days"].replace("{count}", left);
  const said = left > 0 ? counted : words[left === 0 ? "remind_due" : "remind_past"];
  return { said: left > days ? "" : said, on: left };
}

// Of a visit that is booked in time; null where there is none, or where something graver holds
// now (the states come gravest first).
function ofVisit(facts, daysTo, left, words) {
  const ahead = daysTo(facts.booked_on);
  if (ahead === null || left <= 0) return null;
  const holds = (one) => (!one.from_at || Date.parse(one.from_at) <= new Date())
    && (!one.from_on || daysTo(one.from_on) <= 0)
    && (!one.until_on || daysTo(one.until_on) >= 0);
  if (facts.states?.find(holds)?.grave) return null;
  const day = facts.written?.[facts.booked_on] ?? facts.booked_on;
  const soon = words["remind_visit"].replace("{day}", day);
  const said = ahead > 0 ? soon : words[ahead === 0 ? "remind_visit_today" : "remind_visit_past"];
  return { said: ahead > 2 ? "" : said, on: ahead };
}

async function remind() {
  const file = (await storedFiles(RELEASE.folder, RELEASE.glanceFile)).get(RELEASE.glanceFile);
  const text = await file?.text();
  const facts = text ? JSON.parse(text) : null;
  if (!facts) return;
  const now = new Date();
  const today = Date.UTC(now.getFullYear(), now.getMonth(), now.getDate());
  const daysTo = (text) => {
    const [, y, m, d] = /^(\d{4})-(\d\d)-(\d\d)/.exec(text || "") || [];
    return y ? Math.round((Date.UTC(+y, +m - 1, +d) - today) / 864e5) : null;
  };
  const left = daysTo(facts.refill_by);
  if (left === null) return;
  await self.navigator.setAppBadge?.(Math.max(0, left));
  if (self.Notification?.permission !== "granted") return;
  const { days, more } = facts.remind ?? { days: USUAL_DAYS };
  if (typeof days !== "number") return;
  const words = { ...RELEASE.words, ...facts.words };
  const { said, on } = ofVisit(facts, daysTo, left, words) ?? ofRefill(left, days, words);
  if (!said || !(await isFirstOn(today))) return;
  const discreet = on > 0 ? "remind_near" : on === 0 ? "remind_now" : "remind_gone";
  await self.registration.showNotification("PocketPump", {
    body: more ? said : words[discreet],
    tag: "refill", icon: urlOf("icons/icon-192.png"), lang: facts.language || "en",
  });
}

// An open page and the browser may both ask, and more than once a day.
async function isFirstOn(today) {
  const beside = await caches.open(BESIDE);
  const shown = await (await beside.match(urlOf("reminded")))?.text();
  if (shown === String(today)) return false;
  await beside.put(urlOf("reminded"), new Response(String(today)));
  return true;
}

// One after the other, so that two that come together are not both the first.
let reminding = Promise.resolve();
const remindInTurn = () => {
  reminding = reminding.then(remind).catch(() => {});
  return reminding;
};
self.addEventListener("periodicsync", (event) => {
  if (event.tag === "refill") event.waitUntil(remindInTurn());
});
self.addEventListener("message", (event) => {
  if (event.data?.kind === "remind") event.waitUntil(remindInTurn());
});
self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  event.waitUntil((async () => {
    const [open] = await self.clients.matchAll({ type: "window" });
    return open ? open.focus() : self.clients.openWindow(ROOT.href);
  })());
});
