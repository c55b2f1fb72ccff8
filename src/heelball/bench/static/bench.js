// Says where the bench cannot be reached: what is on the page is then not written yet.
document.addEventListener("htmx:sendError", () => {
  const trouble = document.getElementById("trouble");
  const line = document.createElement("p");
  line.className = "problem";
  line.textContent = "The bench cannot be reached just now. What you did last is not written; do it again once it answers.";
  trouble.replaceChildren(line);
});
document.addEventListener("htmx:afterOnLoad", (event) => {
  if (event.detail.successful) document.getElementById("trouble").replaceChildren();
});
