// The page's first script: runs before anything is painted, so it does only what cannot
// wait. Python starts in its worker from here, beside (not after) the drawing client.

// Flutter stops at a language tag that is none ("C", "en_US"): offer it a good one instead.
(() => {
  const good = (navigator.languages || []).filter((tag) => {
    try {
      return Boolean(new Intl.Locale(tag)) && tag !== "C";
    } catch {
      return false;
    }
  });
  if (good.length !== (navigator.languages || []).length || good[0] !== navigator.language) {
    const languages = Object.freeze(good.length ? good : ["en-US"]);
    Object.defineProperty(navigator, "languages", { get: () => languages });
    Object.defineProperty(navigator, "language", { get: () => languages[0] });
  }
})();

// What Flet's client reads. Everything points into this release's own folder.
var flet = {
  pyodide: true,
  multiView: false,
  noCdn: true,
  webSocketEndpoint: "/ws",
  entrypointBaseUrl: PAGE.release,
  assetBase: PAGE.release,
  routeUrlStrategy: "hash",
  canvasKitBaseUrl: `${PAGE.release}canvaskit/`,
  pyodideUrl: `${PAGE.release}pyodide/pyodide.mjs`,
  webRenderer: "canvaskit",
  fontFallbackBaseUrl: `${PAGE.release}assets/fonts/`,
  appPackageUrl: `${PAGE.release}python/site.zip`,
  pythonModuleName: "main",
};
flet.flutterAppLoaded = new Promise((resolve) => {
  flet.flutterAppResolve = resolve;
});

// A worker from a blob has the page's own security policy; one from a file would have only
// what the server sends with it, and a plain file server sends nothing.
const python = { worker: null, waiting: [], onMessage: null };
python.start = () => {
  const script = new URL(`${PAGE.release}worker.js`, location.href).href;
  const blob = new Blob([`import ${JSON.stringify(script)};`], { type: "text/javascript" });
  // An imported module runs a little after the worker is there; it would miss a message
  // sent at once, were it not for the port of a worker holding messages until it listens.
  python.worker = new Worker(URL.createObjectURL(blob), { type: "module", name: "python" });
  python.worker.onmessage = ({ data }) => {
    if (python.onMessage) python.onMessage(data);
    else python.waiting.push(data);
  };
  // Of a script that did not come the browser tells nothing but that it did not.
  python.worker.onerror = ({ message }) => python.worker.onmessage({
    data: { kind: "failed", text: message || "worker", missing: !message },
  });
  python.worker.postMessage({ kind: "start", documentUrl: document.URL, mark: python.mark() });
};
// How far the record went, kept apart from its files: when only these were cleared, it is missed.
python.mark = (value) => {
  try {
    if (value?.some(Boolean)) localStorage.setItem("pocketpump.mark", JSON.stringify(value));
    else if (value) localStorage.removeItem("pocketpump.mark");
    return localStorage.getItem("pocketpump.mark") ?? "";
  } catch {
    return "";
  }
};
// What the person looks at first comes first: starting Python and Flutter takes the machine
// whole. A page in the background paints nothing, so they do not wait for ever.
const onceGlanceIsPainted = (act) => {
  let done = false;
  const once = () => {
    if (!done) act();
    done = true;
  };
  new PerformanceObserver((seen) => {
    if (seen.getEntriesByName("first-contentful-paint").length) once();
  }).observe({ type: "paint", buffered: true });
  setTimeout(once, 1000);
};
onceGlanceIsPainted(() => python.worker || python.start());

// Set by device.js, which comes when the app is on the screen; a browser offers itself before.
let device = null;
let installOffer = null;
addEventListener("beforeinstallprompt", (event) => {
  event.preventDefault();
  installOffer = event;
  device?.tell();
});

// A page restored from the back/forward cache has a Flutter that no longer paints (WebKit).
window.addEventListener("pageshow", (event) => {
  if (event.persisted && navigator.vendor?.startsWith("Apple")) location.reload();
});
