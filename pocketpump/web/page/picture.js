// Draws a page of paper (exchange/papers/drawing/canvas.py) and gives it back as a PNG.
async function picture(page) {
  const canvas = new OffscreenCanvas(Math.round(page.width * page.scale),
    Math.round(page.height * page.scale));
  const pen = canvas.getContext("2d");
  const shapes = new Map(Object.entries(page.shapes).map(([name, d]) => [name, new Path2D(d)]));
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, canvas.width, canvas.height);
  for (const step of page.steps) {
    pen.setTransform(page.scale, 0, 0, page.scale, 0, 0);
    pen.fillStyle = pen.strokeStyle = `rgb(${step.ink} ${step.ink} ${step.ink})`;
    if (step.letters) {
      const scale = page.scale * step.scale;
      pen.lineWidth = step.stroke;
      pen.setLineDash([]);
      for (const [name, along] of step.letters) {
        pen.setTransform(scale, 0, 0, -scale, step.x * page.scale + along * scale,
          step.y * page.scale);
        pen.fill(shapes.get(name));
        if (step.stroke) pen.stroke(shapes.get(name));
      }
    } else if (step.radius) {
      pen.beginPath();
      pen.arc(step.x, step.y, step.radius, 0, 2 * Math.PI);
      pen.fill();
    } else if (step.to) {
      pen.lineWidth = step.line;
      pen.setLineDash(step.dash ? [step.dash] : []);
      pen.beginPath();
      pen.moveTo(step.x, step.y);
      pen.lineTo(...step.to);
      pen.stroke();
    } else {
      pen.fillRect(step.x, step.y, step.width, step.height);
    }
  }
  const blob = await canvas.convertToBlob({ type: "image/png" });
  return new Uint8Array(await blob.arrayBuffer());
}

// Draws a letter in the device's own fonts; `x`, `y` is where it begins in a square picture.
// Tells its width and how much ink each pixel has (web/drawn_letters.py makes outlines of it).
function letter(text, size, side, x, y) {
  const pen = new OffscreenCanvas(side, side).getContext("2d", { willReadFrequently: true });
  pen.font = `${size}px sans-serif`;
  pen.fillText(text, x, y);
  const { data } = pen.getImageData(0, 0, side, side);
  return {
    advance: pen.measureText(text).width,
    alpha: Uint8Array.from({ length: side * side }, (_, at) => data[4 * at + 3]),
  };
}
