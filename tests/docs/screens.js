// What is wrong with a screen whatever it is for: a few words and where it is.
const seen = (one) => one.checkVisibility() && !one.closest('.unseen')
  && one.getBoundingClientRect().left > -500;
const where = one => one.id || one.getAttribute('aria-label') || one.textContent.trim().slice(0, 30) || one.tagName;
const found = [];
const wide = document.documentElement.scrollWidth - window.innerWidth;
if (wide > 1) found.push(`runs off its side by ${wide}`);
for (const one of document.querySelectorAll('.wide, .tools, nav, pre, .verdict, .answer')) {
  if (seen(one) && one.scrollWidth > one.clientWidth + 1) found.push(`scrolls sideways by ${one.scrollWidth - one.clientWidth}: ${where(one)}`);
  if (seen(one) && one.matches('.verdict, .answer') && one.scrollHeight > one.clientHeight + 1) found.push(`scrolls within by ${one.scrollHeight - one.clientHeight}: ${where(one)}`);
}
for (const one of document.querySelectorAll('td.figure, .dials b, .strip td, dd')) {
  if (!seen(one) || !/^[+\u2212-]?[\d.]+( to | \u2013 )?[+\u2212-]?[\d.]*$/.test(one.textContent.trim())) continue;
  const range = document.createRange(); range.selectNodeContents(one);
  const lines = new Set([...range.getClientRects()].map(r => Math.round(r.top)));
  if (lines.size > 1 && one.querySelector('*') === null) found.push(`wraps: ${where(one)}`);
}
for (const one of document.querySelectorAll('button, .button, summary, select, input:not([type=hidden]):not([type=checkbox]), nav a, .listed a, .choice')) {
  const box = one.getBoundingClientRect();
  if (seen(one) && box.height && box.height < (one.closest('td, th') && one.matches('input') ? 35 : 43.5)) found.push(`low by hand, ${Math.round(box.height)}: ${where(one)}`);
}
const ends = [...document.querySelectorAll('main a, main button, main input:not([type=hidden]), main select, main summary')].filter(seen).map(one => [one, one.getBoundingClientRect()]);
for (let i = 0; i < ends.length; i++) for (let j = i + 1; j < Math.min(ends.length, i + 40); j++) {
  const [a, x] = ends[i], [b, y] = ends[j];
  if (a.contains(b) || b.contains(a) || a.closest('.wide') !== b.closest('.wide')) continue;
  if (Math.min(x.right, y.right) - Math.max(x.left, y.left) > 2 && Math.min(x.bottom, y.bottom) - Math.max(x.top, y.top) > 6) found.push(`lies over: ${where(a)} / ${where(b)}`);
}
for (const one of document.querySelectorAll('main *, header *, footer *')) {
  if (!seen(one) || one.closest('svg, pre')) continue;
  const style = getComputedStyle(one);
  if (style.overflowX === 'hidden' && one.scrollWidth > one.clientWidth + 1) found.push(`is cut: ${where(one)}`);
}
const cut = [...document.querySelectorAll('input:not([type=checkbox], [type=hidden], [type=file])')]
  .filter(one => seen(one) && one.scrollWidth > one.clientWidth + 1).map(where);
if (cut.length) found.push(`typed text is cut: ${cut.slice(0, 3)}, ${cut.length} fields`);
return [...new Set(found)];
