"use strict";
/* The shocks that may do under the wishes as they stand, in order. */
const List = (data, state) => {
  const {element, drawn, field, plain} = Elements;
  const MOST = 100;
  const money = x => `${Number.isInteger(x) ? x : x.toFixed(2)} ${data.currency}`;
  const text = number => data.texts[number];
  const WAITS = Engine.WAITS;
  const STATE = {fits: ["fits", "fits"], open: ["open", "can't be said yet"], [WAITS]: ["waits", WAITS]};

  function figureAt(found, name) {
    for (let k = 0; k < found.groups.length; k++) {
      const column = found.groups[k].group.figures[name];
      if (column) return column[found.rows[k]];
    }
    return null;
  }

  const FIGURES = [["travel_mm", "travel", "mm", 1], ["sag_mm", "sag at the shaft", "mm", 1],
    ["wheel_sag_mm", "sag at the wheel", "mm", 1], ["fill_psi", "start pressure", "psi", 0],
    ["rate_n_per_mm", "coil", "N/mm", 1], ["reserve_mm", "bottom-out reserve", "mm", 0],
    ["tyre_gap_mm", "tyre gap left", "mm", 1]];

  function figures(found) {
    const coil = found.shock.kind === 1;
    const rows = FIGURES.filter(([name]) => name !== (coil ? "fill_psi" : "rate_n_per_mm"))
      .map(([name, words, unit, decimals]) => {
        const value = figureAt(found, name);
        return [words, value === null ? "can't be said yet" : `${plain(value, decimals)} ${unit}`];
      });
    rows.push(["mass", `${found.mass} g`], ["days until it rides", plain(found.days, 2)]);
    return element("dl", {class: "figures"}, ...rows.map(([words, value]) =>
      element("div", {}, element("dt", {}, words), element("dd", {}, value))));
  }

  function meter(value) {
    const rect = width => drawn("rect", {x: 0, y: 0, width, height: 10});
    return drawn("svg", {class: "meter", viewBox: "0 0 100 10", preserveAspectRatio: "none", "aria-hidden": "true"},
      rect(100), rect((100 * value).toFixed(1)));
  }

  function bars(found, made) {
    return element("ul", {class: "bars"}, ...Engine.scores(found.shock, found, made, state.wishes).map(one =>
      element("li", {}, element("span", {}, one.name), meter(one.value),
        element("span", {}, `${one.points.toFixed(2)} of ${one.weight}`))));
  }

  function parts(found) {
    const rows = found.groups.flatMap((g, k) => g.group.lines[found.rows[k]]);
    const order = ["shock", "stroke", "head kit", "shaft kit", "tune", "spring"];
    rows.sort((a, b) => order.indexOf(a[0]) - order.indexOf(b[0]));
    const cells = rows.map(([role, what, , price, labour]) => element("tr", {},
      element("td", {}, role), element("td", {}, text(what)),
      element("td", {class: "num", "data-cap": "price"}, money(price)),
      element("td", {class: "num", "data-cap": labour ? "labour" : null}, labour ? money(labour) : "")));
    const head = ["part", "what", "price", "labour"].map((one, k) =>
      element("th", {scope: "col", class: k > 1 ? "num" : null}, one));
    return element("table", {class: "lines"}, element("thead", {}, element("tr", {}, ...head)),
      element("tbody", {}, ...cells),
      element("tfoot", {}, element("tr", {}, element("th", {scope: "row"}, "the whole"), element("td", {}),
        element("td", {}), element("td", {class: "num"}, money(found.price)))));
  }

  function doubts(found) {
    const named = [];
    data.bits.forEach((name, k) => {
      const word = k < 31 ? 0 : k < 62 ? 1 : 2;
      if (found.bits[word] >>> (k - 31 * word) & 1) named.push(name);
    });
    data.joint.forEach((name, k) => { if (found.joint >> k & 1) named.push(name); });
    return [...named, ...found.asks.map(name => data.labels[name])];
  }

  function cautions(found) {
    const way = found.shock.ways[found.way];
    const numbers = [...way.cautions, ...found.groups.flatMap((g, k) => g.group.cautions[found.rows[k]])];
    return [...new Set(numbers)].map(text);
  }

  function sizeOf(found) {
    for (let k = 0; k < found.groups.length; k++) {
      const {sizes} = found.groups[k].group;
      if (sizes) return text(sizes[found.rows[k]]);
    }
    return "";
  }

  function inside(found, made) {
    const warned = cautions(found), open = doubts(found);
    return [element("p", {class: "whose"}, found.shock.name), figures(found), parts(found), bars(found, made),
      open.length ? element("p", {}, `It hinges on: ${open.join(", ")}.`) : null,
      warned.length ? element("ul", {class: "note warn why"}, ...warned.map(one => element("li", {}, one))) : null,
    ].filter(one => one);
  }

  function row(found, place, made) {
    const [style, words] = STATE[found.state];
    const out = element("details", {class: "row", "data-key": found.shock.key},
      element("summary", {}, element("span", {}, `${place}. ${found.shock.key}`), element("span", {}, sizeOf(found)),
        element("span", {class: `state ${style}`}, found.closer ? `${words} *` : words),
        element("span", {}, `${found.points.toFixed(2)} points, ${money(found.price)}, ${plain(found.days, 2)} days`)));
    const body = element("div", {class: "inside"});
    out.append(body);
    out.addEventListener("toggle", () => {
      if (out.open && !body.childElementCount) body.append(...inside(found, made));
    });
    return out;
  }

  function show(answer) {
    const {counts, list, made} = answer;
    field("live").textContent =
      `${counts.fits} fit, ${counts.open} can't be said yet, ${counts["ruled out"]} are ruled out.`
      + (counts[WAITS] ? ` ${counts[WAITS]} fit, the choice waits for a measurement.` : "")
      + (list.length ? ` First: ${list[0].shock.key}.` : " Nothing meets every must.");
    const box = field("list");
    const wasOpen = new Set([...box.querySelectorAll("details[open]")].map(one => one.dataset.key));
    const add = (from, to) => {
      const rows = list.slice(from, to).map((found, k) => row(found, from + k + 1, made));
      for (const one of rows) if (wasOpen.has(one.dataset.key)) one.open = true;
      box.append(...rows);
      field("more").hidden = list.length <= to;
      field("more").textContent = `Show the other ${list.length - to}`;
    };
    box.replaceChildren();
    add(0, MOST);
    field("more").onclick = () => add(MOST, list.length);
    field("closer").hidden = !list.some(found => found.closer);
  }

  return {show, doubts, sizeOf, money};
};
