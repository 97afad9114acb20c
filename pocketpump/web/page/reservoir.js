// The picture of the pump's reservoir, as Today has it: every height in it comes from the core.
const drawReservoir = (() => {
  const SVG = "http://www.w3.org/2000/svg";
  const ELBOW = 12;
  const LABEL = 24;
  const LIP = 8;

  function put(parent, tag, values, text = "") {
    const node = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(values)) node.setAttribute(name, value);
    node.textContent = text;
    parent.append(node);
    return node;
  }

  // `day` counts from the day the facts are of; null where the picture does not reach.
  return ({ box, days, marks, spoken }, day) => {
    const [left, right, top, bottom, radius] = box;
    const found = days[day];
    if (!found) return null;
    const [water, amountAt, amount] = found;
    const longest = Math.max(0, ...marks.map(([, , label]) => label.length));
    const width = right + LABEL + longest * 9;
    const height = bottom + left;
    const svg = document.createElementNS(SVG, "svg");
    svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    svg.setAttribute("width", width);
    svg.setAttribute("height", height);
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", spoken.replace("{left}", amount));
    svg.classList.add("reservoir");
    const wall = `V${bottom - radius}A${radius} ${radius} 0 0 1 ${right - radius} ${bottom}`
      + `H${left + radius}A${radius} ${radius} 0 0 1 ${left} ${bottom - radius}V`;
    // The water is cut to the vessel by its wall.
    const clip = put(put(svg, "defs", {}), "clipPath", { id: "in-reservoir" });
    put(clip, "path", { d: `M${right} ${top}${wall}${top}Z` });
    const swell = Math.min(4, (bottom - water) / 4, Math.max(water - top, 0));
    const third = (right - left) / 3;
    const surface = `M${left} ${water}C${left + third} ${water - swell} ${right - third} ${
      water + swell} ${right} ${water}`;
    if (water < bottom - 0.5) {
      const inside = put(svg, "g", { "clip-path": "url(#in-reservoir)" });
      put(inside, "path", { d: `${surface}V${bottom}H${left}Z`, class: "water" });
      put(inside, "path", { d: surface, class: "surface" });
    }
    for (const [at, labelAt, label, leads] of marks) {
      const below = Math.max(0, at - (bottom - radius));
      const inset = below ? radius - Math.sqrt(Math.max(0, radius ** 2 - below ** 2)) : 0;
      put(svg, "path", {
        d: `M${right - inset - 16} ${at}H${right + ELBOW}L${right + LABEL - 6} ${labelAt}`,
        class: leads ? "mark leads" : "mark",
      });
      put(svg, "text", { x: right + LABEL, y: labelAt, class: leads ? "leads" : "" }, label);
    }
    put(svg, "path", {
      d: `M${right + LIP} ${top - 12}Q${right} ${top - 10} ${right} ${top + 4}${wall}${top + 4}Q${
        left} ${top - 10} ${left - LIP} ${top - 12}`,
      class: "wall",
    });
    put(svg, "text", { x: (left + right) / 2, y: amountAt, class: "amount" }, amount);
    return svg;
  };
})();
