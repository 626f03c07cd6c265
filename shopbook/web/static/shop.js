// What only the shop may see, details[data-shop-only], shuts by itself: when its form changes, when its figures come anew,
// and when the page is come back to. Whoever stands beside the screen sees them only right after a press.

function watch(fold) {
  const shut = () => { fold.open = false; };
  fold.closest("form")?.addEventListener("change", shut);
  new MutationObserver(shut).observe(fold, { childList: true });
  addEventListener("pageshow", shut);
}

document.querySelectorAll("details[data-shop-only]").forEach(watch);
