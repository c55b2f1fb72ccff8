// Marks the day's fields that the last answer found wrong, for whoever listens to them.
document.addEventListener("htmx:afterSettle", () => {
  for (const problem of document.querySelectorAll("#day-form .problem")) {
    const field = document.querySelector(`[aria-describedby="${problem.id}"]`);
    if (problem.textContent) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
});
