"use strict";
(() => {
  const $ = (id) => document.getElementById(id);
  const form = $("filter"), bed = $("filter-bed"), test = $("filter-test"), changed = $("filter-changed");
  const rules = document.head.appendChild(document.createElement("style"));

  function filter() {
    const parts = [];
    if (bed.value) parts.push(`[data-bed]:not([data-bed="${CSS.escape(bed.value)}"])`);
    if (test.value) parts.push(`[data-a]:not([data-a="${CSS.escape(test.value)}"])`);
    if (changed.checked) parts.push(".bed:not([data-changed])", ".multiples figure:not([data-changed])");
    rules.textContent = parts.length ? `${parts.join(",")}{display:none!important}` : "";
    $("filter-said").textContent = parts.length ? "A part of the page is hidden." : "";
  }

  function clear() {
    form.reset();
    filter();
  }

  // A link into a hidden part shows everything again rather than leading nowhere.
  function reveal() {
    const target = location.hash && $(decodeURIComponent(location.hash.slice(1)));
    if (target && !target.getClientRects().length && rules.textContent) {
      clear();
      target.scrollIntoView();
    }
  }

  // A technical word explains itself where it stands; without this script its link leads to the word list.
  const box = $("explain");
  function explain(event) {
    const word = event.target.closest("a.term");
    box.hidden = true;
    if (!word || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    box.textContent = word.title;
    box.hidden = false;
    const at = word.getBoundingClientRect();
    const left = Math.max(8, Math.min(at.left, document.documentElement.clientWidth - box.offsetWidth - 8));
    box.style.left = `${left + scrollX}px`;
    box.style.top = `${at.bottom + scrollY + 6}px`;
  }

  form.hidden = false;
  form.addEventListener("change", filter);
  form.addEventListener("submit", (event) => event.preventDefault());
  addEventListener("hashchange", reveal);
  document.addEventListener("click", explain);
  document.addEventListener("keydown", (event) => { if (event.key === "Escape") box.hidden = true; });
  clear();
})();
