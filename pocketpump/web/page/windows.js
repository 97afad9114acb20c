// One window at a time has the record open. Another shows days and card, takes a check-in, and
// takes over when it is told to: the first one keeps what is half filled in, and lets go.
const windows = (() => {
  const LONGEST_MS = 5000; // one that hangs does not answer, and need not have let go
  const channel = new BroadcastChannel("pocketpump-windows");
  const here = document.getElementById("use-here");
  let mine = false;
  let wanted = false;

  const tell = () => trouble.tell("used_elsewhere", { elsewhere: true });

  async function giveWay() {
    mine = false;
    await python.leave();
    python.worker?.terminate();
    python.worker = null;
    channel.postMessage("free");
    tell();
  }

  channel.onmessage = ({ data }) => {
    if (data === "give way" && mine) giveWay();
    else if (data === "free" && wanted) location.reload();
  };
  here.addEventListener("click", () => {
    wanted = true;
    channel.postMessage("give way");
    setTimeout(() => location.reload(), LONGEST_MS);
  });
  addEventListener("pocketpump-shown", () => { mine = true; }, { once: true });

  return { tell };
})();
