// Arrow keys: from tile to tile in the gallery, from photo to photo on a photo's page.

const FIELDS = "input:not([type=checkbox]), textarea, select, [contenteditable]";

addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
  if (event.target.matches(FIELDS)) return;
  const tiles = [...document.querySelectorAll("[data-tile]")];
  const moved = tiles.length ? between(tiles, event) : along(event.key);
  if (moved) event.preventDefault();
});

function along(key) {
  const rel = { ArrowLeft: "prev", ArrowRight: "next" }[key];
  const link = rel && document.querySelector(`.ways a[rel=${rel}]`);
  if (link) link.click();
  return Boolean(link);
}

function between(tiles, event) {
  const here = tiles.indexOf(event.target.closest("[data-tile]"));
  if (here < 0) return false;
  const next = {
    ArrowLeft: () => tiles[here - 1],
    ArrowRight: () => tiles[here + 1],
    ArrowUp: () => inNextRow(tiles.slice(0, here).reverse(), tiles[here]),
    ArrowDown: () => inNextRow(tiles.slice(here + 1), tiles[here]),
    Home: () => tiles[0],
    End: () => tiles.at(-1),
  }[event.key]?.();
  next?.focus();
  return Boolean(next);
}

// The tile straight above or below: the nearest in the next row that has another top.
function inNextRow(others, from) {
  const { top, left } = from.getBoundingClientRect();
  const beyond = others.filter((tile) => Math.abs(tile.getBoundingClientRect().top - top) > 4);
  if (!beyond.length) return undefined;
  const row = beyond[0].getBoundingClientRect().top;
  const inRow = beyond.filter((tile) => Math.abs(tile.getBoundingClientRect().top - row) < 4);
  const off = (tile) => Math.abs(tile.getBoundingClientRect().left - left);
  return inRow.reduce((best, tile) => (off(tile) < off(best) ? tile : best));
}
