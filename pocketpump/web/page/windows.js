// One window at a time has the record open. Another shows days and card, takes a check-in, and
// takes over when it is told to: the first one keeps what is half filled in, and lets go.
const windows = (() => {
  const LONGEST_MS = 5000; // one that hangs does not answer, and need not have let go
  const channel = channelOf("pocketpump-windows");
  const here = document.getElementById("use-here");
  let mine = true; // until the worker says otherwise
  let wanted = false;

  function tell() {
    mine = false;
    trouble.tell("used_elsewhere", { elsewhere: true });
  }

  async function giveWay() {
    mine = false;
    await python.leave();
    python.worker?.terminate();
    python.worker = null;
    channel.postMessage("free");
    tell();
  }

  if (channel) {
    channel.onmessage = ({ data }) => {
      // Shown or not: the worker has the files from its start.
      if (data === "give way" && mine && python.worker) giveWay();
      else if (data === "free" && wanted) location.reload();
    };
  }
  here.addEventListener("click", () => {
    wanted = true;
    channel?.postMessage("give way");
    setTimeout(() => location.reload(), channel ? LONGEST_MS : 0);
  });

  return { tell };
})();
