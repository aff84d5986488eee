// A sale where the bench machine does not answer, as at a fair: it is kept on this device and sent later. An extra: without
// scripts, and while the machine answers, the form does the same.
const { tell } = await import([...document.scripts].find((one) => one.src.includes("/waiting.js")).src); // the page's own

document.addEventListener("submit", async (event) => {
  const form = event.target.closest("form");
  if (form?.elements.do?.value !== "sold") return;
  event.preventDefault();
  const fields = new FormData(form);
  if (event.submitter?.name) fields.set(event.submitter.name, event.submitter.value);
  try {
    const answer = await fetch(form.action, { method: "POST", credentials: "same-origin", body: new URLSearchParams(fields) });
    if (answer.ok) location.assign(answer.url);
    else document.getElementById("main").innerHTML = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("main").innerHTML;
  } catch {
    const [piece, how, outlet] = ["piece", "how", "outlet"].map((name) => fields.get(name) ?? "");
    const money = fields.get("other") || fields.get("money") || "";
    if (!money) return form.elements.other.focus();
    tell("sold", { piece, money, how, outlet });
    const row = form.closest(".row");
    row.textContent = `Sold for ${money}; waits on this device`;
    row.setAttribute("role", "status");
  }
});
document.addEventListener("entry-taken", () => location.reload());
