// What the app asks of the browser itself, and what it is told of it. Comes when the app is on
// the screen. A browser asks a person only after a press on the page; what is pressed in the app
// is heard in Python's worker, too late. So a small window of the page's own stands between.
device = (() => {
  const CLOSED = "pocketpump.closed";
  const BESIDE = "beside-pocketpump"; // as in the service worker
  const sharedAt = new URL("shared", document.baseURI).href;
  const HALF_DAY_MS = 12 * 36e5;
  const HOUR_MS = 36e5;

  function kind() {
    // Every browser on an iPhone or iPad is Apple's underneath; an iPad calls itself a Mac.
    const { userAgent, platform, maxTouchPoints } = navigator;
    if (/iPhone|iPad|iPod/.test(userAgent)) return "apple";
    if (/^Mac/.test(platform) && maxTouchPoints > 1) return "apple";
    if (/Firefox\//.test(userAgent)) return "firefox";
    return /Android/.test(userAgent) ? "android" : "computer";
  }

  function closed(what) {
    try {
      const all = JSON.parse(localStorage.getItem(CLOSED) ?? "[]");
      if (!what || all.includes(what)) return all;
      localStorage.setItem(CLOSED, JSON.stringify([...all, what]));
      return [...all, what];
    } catch {
      return what ? [what] : [];
    }
  }

  const registered = async () => (await navigator.serviceWorker?.getRegistration()) ?? null;

  // Registering is what asks: only an installed app in some browsers is let.
  async function wakes() {
    try {
      const { periodicSync } = await registered();
      await periodicSync.register("refill", { minInterval: HALF_DAY_MS });
      return true;
    } catch {
      return false;
    }
  }

  async function tell() {
    const facts = {
      kind: kind(),
      installed: matchMedia("(display-mode: standalone)").matches || navigator.standalone === true,
      reminding: globalThis.Notification?.permission ?? "",
      wakes: await wakes(),
      installs: Boolean(installOffer),
      keeps: await navigator.storage?.persisted?.().catch(() => null) ?? null,
      closed: closed(),
    };
    python.worker?.postMessage({ kind: "told", facts });
  }

  // A new version's words may be longer than the window: it scrolls.
  const style = new CSSStyleSheet();
  style.replaceSync(`
    #asked { max-width: min(30rem, 100vw - 2rem); box-sizing: border-box; border: 0;
      border-radius: 14px; padding: 1.25rem; background: var(--shell); color: var(--ink);
      font: 1.125rem/1.4 Roboto, system-ui, sans-serif; overflow-wrap: break-word; }
    #asked::backdrop { background: #0008; }
    #asked h2 { margin: 0 0 0.75rem; font-size: 1.375rem; }
    #asked p { margin: 0 0 1rem; }
    #asked button { display: block; width: 100%; min-height: 56px; margin-top: 12px; font: inherit;
      border: 2px solid var(--deep); border-radius: 14px; padding: 0.5rem;
      background: var(--shell); color: var(--ink); touch-action: none; user-select: none; }
    #asked .yes { background: var(--deep); color: var(--on-deep); }`);
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, style];

  // The app's words, in the language of the person; `act` runs within the press.
  function ask({ title, text, yes, no }, act) {
    document.getElementById("asked")?.remove();
    const place = document.createElement("dialog");
    place.id = "asked";
    const put = (tag, words, press) => {
      const node = document.createElement(tag);
      node.textContent = words;
      place.append(node);
      if (press) node.addEventListener("click", press);
      return node;
    };
    const away = () => place.remove();
    put("h2", title).id = "asked-title";
    put("p", text);
    put("button", yes, () => {
      away();
      act();
    }).className = "yes";
    put("button", no, away);
    place.setAttribute("aria-labelledby", "asked-title");
    place.addEventListener("close", away);
    document.body.append(place);
    place.showModal();
  }

  const acts = {
    remind: (words) => ask(words, async () => {
      await Notification.requestPermission();
      await tell();
      remind();
    }),
    install: (words) => ask(words, async () => {
      const offer = installOffer;
      installOffer = null; // it can be asked once
      await offer?.prompt();
      await offer?.userChoice;
      tell();
    }),
    close({ what }) {
      closed(what);
      tell();
    },
    async taken() {
      const kept = await caches.open(BESIDE);
      await kept.delete(sharedAt);
    },
  };

  // While the app is open the service worker is asked by the page, by the same rules.
  async function remind() {
    if (globalThis.Notification?.permission === "granted") {
      (await registered())?.active?.postMessage({ kind: "remind" });
    }
  }

  async function give(file, name) {
    const bytes = new Uint8Array(await file.arrayBuffer());
    python.worker?.postMessage({ kind: "shared", name, bytes }, [bytes.buffer]);
  }

  async function giveShared() {
    const found = await globalThis.caches?.match(sharedAt, { cacheName: BESIDE });
    if (found) await give(await found.blob(), decodeURIComponent(found.headers.get("x-name")));
  }

  globalThis.launchQueue?.setConsumer(async ({ files }) => {
    for (const handle of files ?? []) await give(await handle.getFile(), handle.name);
  });
  addEventListener("appinstalled", () => {
    installOffer = null;
    tell();
  });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    tell(); // it may have been allowed in the browser's settings
    remind();
  });
  setInterval(remind, HOUR_MS);
  tell();
  remind();
  giveShared().catch(console.warn);
  return { tell, does: (wish) => acts[wish.do]?.(wish) };
})();
