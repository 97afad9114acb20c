// When the app does not come, or goes: says so above days and card, and offers to load the page
// again and to save the record's files, which nobody has to understand for that.
const trouble = (() => {
  const TICK_MS = 3000;
  const LONG_TICKS = 4;
  const again = document.getElementById("load-again");
  const here = document.getElementById("use-here");
  const save = document.getElementById("save-files");
  const saved = document.getElementById("files-said");
  let shown = false;
  let over = false; // nothing that is said later is truer, but that something was lost
  let waited = 0;
  let asked = 0;
  let telling = ""; // of waiting, which may be taken back

  const record = async () => {
    const files = await storedFiles(PAGE.folder);
    files.delete(PAGE.glanceFile);
    return [...files].filter(([, file]) => file.size);
  };

  // `text` is a sentence of Python's, in the person's language already.
  function tell(name, { passes = false, lost = false, elsewhere = false, text = "" } = {}) {
    if (over && !lost) return;
    over = !passes;
    if (over) handover.lost();
    telling = passes ? name : "";
    glance.takeBack(name, text, passes && handover.isTouched() && !handover.isGiven());
    here.hidden = !elsewhere;
    again.hidden = elsewhere;
    Promise.all([record(), inboxItems()]).then(
      ([files, noted]) => { save.hidden = !files.length && !noted.length; },
      () => { save.hidden = false; },
    );
  }

  const base64 = (file) => new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(reader.result.slice(reader.result.indexOf(",") + 1));
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(file);
  });

  // As `pocketpump.exchange.backup.raw_files` reads it.
  async function whole() {
    const now = new Date().toISOString();
    const parts = [`{"format":"pocketpump-files","version":1,"written_at":"${now}","files":{`];
    for (const [name, file] of await record()) {
      parts.push(`${parts.length > 1 ? "," : ""}\n${JSON.stringify(name)}:"`, await base64(file), '"');
    }
    const noted = await inboxItems().catch(() => []);
    parts.push("\n}");
    if (noted.length) parts.push(',"inbox":"', await base64(new Blob([JSON.stringify(noted)])), '"');
    return new Blob([...parts, "}\n"], { type: "application/json" });
  }

  function say(name, file) {
    saved.dataset.say = name;
    saved.dataset.file = file;
    glance.speak();
  }

  async function saveFiles() {
    try {
      const link = document.createElement("a");
      link.href = URL.createObjectURL(await whole());
      const today = new Date();
      const two = (number) => String(number).padStart(2, "0");
      // The day first, and nothing about health: others may see a list of downloads.
      link.download = `${today.getFullYear()}-${two(today.getMonth() + 1)}-${
        two(today.getDate())} notes files.json`;
      link.click();
      // The browser reads it after the click, nobody knows how long.
      setTimeout(() => URL.revokeObjectURL(link.href), 600_000);
      say("files_saved", link.download);
    } catch (error) {
      console.error(error);
      say("files_not_saved", "");
    }
  }

  save.addEventListener("click", saveFiles);
  again.addEventListener("click", () => location.reload());

  // Of waiting that was told already nothing new is to be told: it would scroll the reader away.
  const tellOfWaiting = (name) => {
    if (telling !== name) tell(name, { passes: true });
  };

  // A device that slept, or a page nobody looked at, wakes with every timer late and all that
  // waits at once; a sleep stops one of the two clocks or none. Then all have their time anew.
  const clocks = () => [Date.now(), performance.now()];
  let seen = clocks();
  function slept() {
    const now = clocks();
    const steps = now.map((at, clock) => at - seen[clock]);
    seen = now;
    return document.hidden || steps.some((step) => step < 0 || step > 2 * TICK_MS);
  }

  setInterval(() => {
    if (slept()) {
      waited = asked = 0;
      return;
    }
    if (over) return;
    if (!shown) {
      waited += 1;
      const first = glance.isEmpty() && !navigator.serviceWorker?.controller;
      if (waited === LONG_TICKS) tellOfWaiting(first ? "takes_long_first" : "takes_long");
      return;
    }
    if (asked === 0) python.worker?.postMessage({ kind: "ask" });
    asked += 1;
    if (asked === LONG_TICKS + 1) tellOfWaiting("no_answer");
  }, TICK_MS);

  // A script that is not to be had; without others (the animations') there is an app all the same.
  addEventListener("error", ({ target, error, filename }) => {
    // Something else in its place is no script: the page of a network that wants a password.
    const source = error instanceof SyntaxError ? filename : target.src ?? "";
    if (!shown && /\/(flutter|main\.dart)\.js$/.test(source)) tell("could_not_load");
  }, true);

  function giveBack() {
    telling = "";
    if (handover.isGiven()) glance.handOver();
    else glance.calm(handover.isReady());
  }

  return {
    tell,
    // The app that was there is not to be used, now or for good.
    stands: () => over || (shown && Boolean(telling)),
    // Python is there and listens.
    answered() {
      asked = 0;
      if (shown && telling) giveBack();
    },
    appIsShown() {
      shown = true;
      if (over) return;
      giveBack();
      handover.ready();
    },
    // `missing`: because a file of the app did not come.
    failed(missing = false) {
      tell(shown ? "stopped_working" : missing ? "could_not_load" : "could_not_start");
    },
  };
})();
