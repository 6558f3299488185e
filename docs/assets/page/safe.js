// Answers kept in the store come back as HTML that anybody with access to the store could have changed. Only what
// our renderer makes passes: known elements, no address but one inside the book, no handler, no style.
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  const HTML = "a abbr article b br button caption code dd details div dl dt em figcaption figure h2 h3 h4 hr i li ol " +
    "p pre section small span strong sub summary sup table tbody td tfoot th thead tr ul";
  const SVG = "svg g path line circle ellipse rect polyline polygon text tspan title desc defs marker clipPath " +
    "pattern linearGradient stop use";
  const MATH = "math mi mn mo ms mtext mrow mfrac msqrt mroot msub msup msubsup munder mover munderover mtable mtr mtd mspace";
  const PASS = new Set(`${HTML} ${SVG} ${MATH}`.toLowerCase().split(" "));
  const INSIDE = /^(?:#|(?:\.{1,2}\/)*[\w-]+(?:\/[\w-]+)*\.html(?:#[\w-]*)?$)/;

  /** The nodes of some HTML without anything that is not ours. */
  T.safe = function (html) {
    const parsed = new DOMParser().parseFromString(html, "text/html");
    clean(parsed.body);
    const fragment = document.createDocumentFragment();
    fragment.append(...parsed.body.childNodes);
    return fragment;
  };

  function clean(parent) {
    for (const child of [...parent.childNodes]) {
      if (child.nodeType === Node.TEXT_NODE) continue;
      if (child.nodeType !== Node.ELEMENT_NODE || !PASS.has(child.localName.toLowerCase())) {
        child.remove();
        continue;
      }
      for (const { name, value } of [...child.attributes]) {
        const address = /^(?:xlink:)?href$/i.test(name);
        if (/^on|^style$|^src|action$/i.test(name) || (address && !INSIDE.test(value))) child.removeAttribute(name);
      }
      clean(child);
    }
  }
})(window.Turnabout);
