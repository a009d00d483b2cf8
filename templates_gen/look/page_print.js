// Print: what is shown, laid out for one page of A4 or Letter.
const PAPER = { width: 718, height: 950 }; // 190 by 251 mm, at 96 pixels to the inch
const ZOOMS = Array.from({ length: 33 }, (_, i) => 0.96 ** i); // down to a quarter

// Copies the boat as it is drawn now: a drawing in space is not kept for the printer, a copy in the plane is.
function copyForPrint() {
  const copy = byId("printed"), context = copy.getContext("2d");
  Object.assign(copy, { width: scene.canvas.width, height: scene.canvas.height });
  scene.draw();
  context.drawImage(scene.canvas, 0, 0);
}

// Takes the controls away and makes the page so small that all of it fits on one sheet.
function layOutForPrint() {
  const { body } = document;
  body.classList.add("printing");
  if (scene) copyForPrint();
  for (const zoom of ZOOMS) {
    body.style.width = `${PAPER.width / zoom}px`;
    body.style.zoom = 1;
    const fits = body.scrollHeight * zoom <= PAPER.height;
    body.style.zoom = zoom;
    if (fits) break;
  }
}

// Gives the page back to the screen.
function layOutForScreen() {
  document.body.classList.remove("printing");
  document.body.style.width = document.body.style.zoom = "";
}

// Hears the printer, from the button of the page or from the browser's own.
function startPrint() {
  window.addEventListener("beforeprint", layOutForPrint);
  window.addEventListener("afterprint", layOutForScreen);
  byId("print").addEventListener("click", () => window.print());
}
