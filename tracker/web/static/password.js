/* Shows a password to whoever types it: with wet hands on a small screen a slip is found only when it is seen. */
"use strict";

for (const button of document.querySelectorAll("[data-shows]")) {
  const field = document.getElementById(button.dataset.shows);
  const shows = button.textContent;
  const show = (isShown) => {
    field.type = isShown ? "text" : "password";
    button.textContent = isShown ? button.dataset.hides : shows;
  };
  button.parentElement.hidden = false;
  button.addEventListener("click", () => show(field.type === "password"));
  // A browser offers to keep what is sent as a password.
  field.form.addEventListener("submit", () => show(false));
}
