// Between Flet's client (which calls jsConnect, jsSend, jsDisconnect) and the worker that
// has been starting since the page's first script.
(() => {
  let client = null; // Flet's callback for messages from Python
  let shown = false;
  let afterDrawing = [];

  // Wire format of Flet: a type byte 0, then msgpack of [action, body]. Action 2 carries
  // controls: the first one after which a frame is painted is the app's own first screen.
  const does = (action, data) => data[0] === 0 && data[1] === 0x92 && data[2] === action;
  const carriesControls = (data) => does(2, data);
  // The session has crashed: the client would show its bare error over all else, for good.
  const tellsOfCrash = (data) => does(6, data);

  function appIsShown() {
    if (shown) return;
    shown = true;
    trouble.appIsShown();
    python.worker.postMessage({ kind: "settle" });
    window.dispatchEvent(new Event("pocketpump-shown"));
    const more = document.createElement("script");
    more.src = `${PAGE.release}device.js`;
    document.head.append(more);
  }

  const actions = {
    python: (message) => performance.mark("python-ready", { detail: message }),
    glance: (message) => glance.save(message.value),
    print: (message) => printPages(message.value),
    mark: (message) => python.mark(message.value),
    persist() {
      actions.persist = () => {}; // once is enough; some browsers ask the person
      navigator.storage?.persist?.().then(() => device?.tell());
    },
    device: (message) => device?.does(message.value),
    // The screen may show what was not kept: away with it.
    lost(message) {
      console.error(message.text);
      trouble.tell("could_not_keep", { lost: true });
    },
    gone(message) {
      console.error(message.text);
      trouble.tell("storage_gone", { lost: true });
    },
    // Another window has the record open.
    busy: () => windows.tell(),
    left: () => window.dispatchEvent(new Event("pocketpump-left")),
    answer: () => trouble.answered(),
    // The record cannot be opened: Python says why.
    shut: (message) => trouble.tell("", { text: message.value }),
    failed(message) {
      console.error(message.text);
      trouble.failed(message.missing);
      window.dispatchEvent(new Event("pocketpump-failed")); // a new version may be the cure
    },
  };

  python.onMessage = (data) => {
    if (!(data instanceof Uint8Array)) {
      actions[data.kind]?.(data);
      return;
    }
    if (!client) return;
    if (tellsOfCrash(data)) {
      actions.failed({ text: new TextDecoder().decode(data.subarray(3)) });
      return;
    }
    performance.mark("python-sent", { detail: data.length });
    const draws = carriesControls(data);
    client(data);
    if (!draws) return;
    const acts = shown ? afterDrawing : [appIsShown];
    afterDrawing = shown ? [] : afterDrawing;
    for (const act of acts) requestAnimationFrame(() => requestAnimationFrame(act));
  };
  // Half-filled forms are kept first, for the next start to show them again; a Python that does
  // not answer must keep nobody from that start, which may be its cure.
  const LONGEST_LEAVING_MS = 3000;
  python.leave = () => python.worker && new Promise((done) => {
    window.addEventListener("pocketpump-left", done, { once: true });
    setTimeout(done, LONGEST_LEAVING_MS);
    python.worker.postMessage({ kind: "leave" });
  });

  // Once, when the app has drawn what it draws next; at the latest after so many ms.
  python.afterNextDrawing = (act, latestMs) => {
    let done = false;
    const once = () => {
      if (!done) act();
      done = true;
    };
    afterDrawing.push(once);
    setTimeout(once, latestMs);
  };
  for (const data of python.waiting.splice(0)) python.onMessage(data);

  globalThis.jsConnect = async (appId, args, onMessage) => {
    client = onMessage;
    performance.mark("python-connect");
    if (!python.worker) python.start();
    // No need to wait for an answer: the worker keeps what comes early. Flet's client sends
    // its greeting at once, and Python answers while Flutter is still painting.
    python.worker.postMessage({ kind: "connect", language: glance.language() });
  };
  globalThis.jsSend = async (appId, data) => {
    performance.mark("python-told", { detail: data.length });
    python.worker?.postMessage(data, [data.buffer]);
  };
  globalThis.jsDisconnect = async () => {
    client = null;
    python.worker?.terminate();
    python.worker = null;
  };
})();
