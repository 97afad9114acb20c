// Offline copies and new versions. The service worker is registered when the app is on the
// screen, so that filling its cache does not compete with the start. A new version waits
// until the person agrees; it never takes over a page by itself.
(() => {
  const bar = document.getElementById("update");
  let waiting = null;
  let accepted = false;

  function offer(worker) {
    waiting = worker;
    bar.hidden = false;
  }

  function watch(registration) {
    const look = () => {
      const fresh = registration.installing;
      fresh?.addEventListener("statechange", () => {
        if (fresh.state === "installed" && navigator.serviceWorker.controller) offer(fresh);
      });
    };
    if (registration.waiting && navigator.serviceWorker.controller) offer(registration.waiting);
    look();
    registration.addEventListener("updatefound", look);
    // An app left open for days should hear of new versions too.
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") registration.update().catch(() => {});
    });
  }

  async function register() {
    if (!("serviceWorker" in navigator)) return;
    try {
      const registration = await navigator.serviceWorker.register(`${PAGE.base}sw.js`, {
        scope: PAGE.base, updateViaCache: "none",
      });
      watch(registration);
      registration.active?.postMessage({ kind: "tidy" });
    } catch (error) {
      console.warn(`PocketPump: no offline copy: ${error}`);
    }
  }

  // Every page of this origin is loaded again when a new version takes over after consent;
  // none of them ever runs with half of each.
  let controlled = Boolean(navigator.serviceWorker?.controller);
  navigator.serviceWorker?.addEventListener("controllerchange", () => {
    if (controlled || accepted) location.reload();
    controlled = true;
  });
  window.addEventListener("pocketpump-shown", () => setTimeout(register, 1500), { once: true });
  window.addEventListener("pocketpump-failed", register, { once: true });
  document.getElementById("update-now").addEventListener("click", async () => {
    accepted = true;
    await python.leave();
    waiting?.postMessage({ kind: "take-over" });
  });
  document.getElementById("update-later").addEventListener("click", () => {
    bar.hidden = true;
  });
})();
