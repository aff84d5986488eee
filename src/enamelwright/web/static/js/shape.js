// The shape: numbers are drawn while they are typed, and a photographed drawing is traced by pointing or with the keys.

const address = document.getElementById("shaping").dataset.address;
const trouble = document.getElementById("trouble");

// ---- numbers ------------------------------------------------------------------------------------

const numbers = document.getElementById("numbers");
if (numbers) {
  const fit = () => {
    const chosen = numbers.querySelector("input[name='shape']:checked")?.value || "circle";
    for (const label of numbers.querySelectorAll("[data-for]")) {
      const wanted = chosen === "circle" ? label.dataset.for === "circle" : label.dataset.for.includes(chosen);
      label.hidden = !wanted;
    }
  };
  let busy = false;
  let again = false;
  const draw = async () => {
    if (busy) { again = true; return; }
    busy = true;
    try {
      const answer = await fetch(`${address}/shape/preview`, { method: "POST", headers: { "HX-Request": "true" }, body: new URLSearchParams(new FormData(numbers)) });
      const text = await answer.text();
      if (answer.ok) {
        const come = document.createElement("template");
        come.innerHTML = text;
        document.getElementById("look")?.replaceWith(come.content.getElementById("look"));
        trouble.replaceChildren();
      }
    } catch {
      // The bench machine does not answer: the drawing stays as it was, and keeping the shape will say so.
    } finally {
      busy = false;
      if (again) { again = false; draw(); }
    }
  };
  numbers.addEventListener("input", () => { fit(); draw(); });
  fit();
}

// ---- tracing ------------------------------------------------------------------------------------

const photo = document.getElementById("photo");
if (photo) {
  const SVG = "http://www.w3.org/2000/svg";
  const desk = document.getElementById("desk");
  const sheet = document.getElementById("sheet");
  const task = document.getElementById("task");
  const name = document.getElementById("line-name");
  const ends = [];
  const lines = [];
  let open = null; // the line being traced
  let cross = [0, 0];
  let size = 1;

  const make = (kind, attributes) => {
    const one = document.createElementNS(SVG, kind);
    for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value);
    return one;
  };

  photo.addEventListener("change", () => {
    const file = photo.files[0];
    if (!file) return;
    const picture = new Image();
    picture.onload = () => {
      sheet.setAttribute("viewBox", `0 0 ${picture.naturalWidth} ${picture.naturalHeight}`);
      size = Math.max(picture.naturalWidth, picture.naturalHeight);
      cross = [picture.naturalWidth / 2, picture.naturalHeight / 2];
      sheet.replaceChildren(make("image", { href: picture.src, width: picture.naturalWidth, height: picture.naturalHeight }), make("g", { id: "ink" }));
      ends.length = lines.length = 0;
      open = null;
      desk.hidden = false;
      show();
    };
    picture.src = URL.createObjectURL(file);
  });

  const begin = (kind) => {
    if (open && open.points.length >= 3) shut();
    open = { kind, name: "", points: [] };
    show();
    sheet.focus({ preventScroll: true });
  };
  const shut = () => {
    if (!open || open.points.length < 3) return;
    open.name = name.value.trim();
    name.value = "";
    if (open.kind === "outline") for (let n = lines.length; n--;) if (lines[n].kind === "outline") lines.splice(n, 1);
    lines.push(open);
    open = null;
  };

  const set = (x, y) => {
    if (ends.length < 2) {
      ends.push([x, y]);
      if (ends.length === 2) begin("outline");
    } else if (open) {
      const first = open.points[0];
      if (first && open.points.length >= 3 && Math.hypot(x - first[0], y - first[1]) < size / 50) shut();
      else open.points.push([x, y]);
    }
    show();
  };
  const back = () => {
    if (open && open.points.length) open.points.pop();
    else if (lines.length && !(open && open.points.length)) open = lines.pop();
    else if (ends.length) { ends.pop(); open = null; }
    show();
  };

  const show = () => {
    const ink = sheet.querySelector("#ink");
    if (!ink) return;
    const thin = size / 250;
    const drawn = [];
    for (const line of [...lines, ...(open ? [open] : [])]) {
      const points = line.points.map((one) => one.join(",")).join(" ");
      const closed = line !== open;
      for (const [kind, width] of [["halo", 3], ["line", 1.4]]) {
        drawn.push(make(closed ? "polygon" : "polyline", { points, class: kind + (closed && kind === "line" ? " shut" : ""), "stroke-width": thin * width }));
      }
      if (!closed) for (const [x, y] of line.points) drawn.push(make("circle", { cx: x, cy: y, r: thin * 2.2, class: "spot", "stroke-width": thin }));
    }
    for (const [x, y] of ends) drawn.push(make("circle", { cx: x, cy: y, r: thin * 2.5, class: "end" }));
    if (ends.length === 2) drawn.push(make("line", { x1: ends[0][0], y1: ends[0][1], x2: ends[1][0], y2: ends[1][1], class: "cross", "stroke-width": thin, "stroke-dasharray": thin * 4 }));
    const [x, y] = cross;
    const arm = size / 40;
    drawn.push(make("path", { d: `M${x - arm} ${y}H${x + arm}M${x} ${y - arm}V${y + arm}`, class: "cross", "stroke-width": thin * 1.4 }));
    ink.replaceChildren(...drawn);
    document.getElementById("lines").replaceChildren(...lines.map((line) => {
      const item = document.createElement("li");
      item.textContent = `${{ outline: "Edge of the piece", cell: "Cell", hole: "Hole" }[line.kind]} ${line.name}, ${line.points.length} points`;
      return item;
    }));
    task.textContent = ends.length < 2
      ? `Scale: point at two places whose distance you know (${2 - ends.length} to go).`
      : open
        ? `${{ outline: "Edge of the piece", cell: "Cell", hole: "Hole" }[open.kind]}: point round it, and at its first point to close it (${open.points.length} so far).`
        : "Closed. Trace a cell or a hole, or use it as it is.";
    document.getElementById("tracing").value = JSON.stringify({ ends, lines });
  };

  const at = (event) => {
    const matrix = sheet.getScreenCTM().inverse();
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);
    return [point.x, point.y];
  };
  sheet.addEventListener("click", (event) => { cross = at(event); set(...cross); });
  sheet.addEventListener("keydown", (event) => {
    const far = size / (event.shiftKey ? 20 : 200);
    const move = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, -far], ArrowDown: [0, far] }[event.key];
    if (move) { cross = [cross[0] + move[0], cross[1] + move[1]]; show(); event.preventDefault(); }
    if (event.key === "Enter") { set(...cross); event.preventDefault(); }
    if (event.key === "Backspace") { back(); event.preventDefault(); }
  });
  document.getElementById("point-back").addEventListener("click", back);
  document.getElementById("point-here").addEventListener("click", () => set(...cross));
  for (const button of document.querySelectorAll("[data-line]")) button.addEventListener("click", () => begin(button.dataset.line));
  document.getElementById("trace").addEventListener("submit", () => { shut(); show(); });
}
