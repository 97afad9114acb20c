// Prints pages of paper, and nothing of the app around them.
function printPages({ pages, title }) {
  document.getElementById("printed")?.remove();
  const frame = document.createElement("iframe");
  frame.id = "printed";
  frame.title = title;
  frame.setAttribute("aria-hidden", "true");
  frame.style.cssText = "position:fixed;width:0;height:0;border:0;visibility:hidden";
  const [width, height] = pages[0].match(/[\d.]+mm/g);
  const style = `@page{size:${width} ${height};margin:0}body{margin:0}`
    + "svg{display:block;break-after:page}svg:last-child{break-after:auto}";
  frame.srcdoc = `<!doctype html><title></title><style>${style}</style>${pages.join("")}`;
  frame.addEventListener("load", () => {
    // What a print is called when it is kept as a file.
    frame.contentDocument.title = title;
    // Some browsers say so when their dialog opens, and read the pages after that.
    const away = () => setTimeout(() => frame.remove(), 60_000);
    frame.contentWindow.addEventListener("afterprint", away, { once: true });
    frame.contentWindow.focus();
    frame.contentWindow.print();
  }, { once: true });
  document.body.append(frame);
}
