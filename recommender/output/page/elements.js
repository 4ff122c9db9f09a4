"use strict";
/* Making elements: every text goes in as text, never as markup. */
const Elements = (() => {
  function element(name, attributes, ...inside) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes ?? {})) {
      if (value === false || value == null) continue;
      made.setAttribute(key, value === true ? "" : value);
    }
    made.append(...inside.filter(one => one != null && one !== ""));
    return made;
  }

  function drawn(name, attributes, ...inside) {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  }

  const field = id => document.getElementById(id);
  const plain = (x, decimals) => x.toFixed(decimals).replace(/\.0+$/, "").replace(/^-0$/, "0");

  return {element, drawn, field, plain};
})();
