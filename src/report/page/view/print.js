// Printing one kind of sheet, and every fold-out open on paper. Without a script the browser's own printing gives everything.

const PARTS = ["wall", "supplier", "all"];

/** Shows the buttons that print a part of the page, and opens what is folded while the page is printed. */
export function setUpPrinting(document) {
  const window = document.defaultView;
  if (!window || typeof window.print !== "function") return;
  const root = document.documentElement;
  let folded = [];

  const restore = () => {
    delete root.dataset.print;
    for (const details of folded) details.open = false;
    folded = [];
  };
  window.addEventListener("beforeprint", () => {
    // Some browsers tell twice; what was opened by us the first time must still be folded again.
    folded = folded.concat([...document.querySelectorAll("details:not([open])")]);
    for (const details of folded) details.open = true;
  });
  window.addEventListener("afterprint", restore);

  for (const button of document.querySelectorAll("button[data-print]")) {
    if (!PARTS.includes(button.dataset.print)) continue;
    button.hidden = false;
    button.addEventListener("click", () => {
      if (button.dataset.print !== "all") root.dataset.print = button.dataset.print;
      window.print();
    });
  }
}
