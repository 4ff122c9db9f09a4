"use strict";
/* The shocks that may do under the wishes as they stand, in order. */
const List = (data, state) => {
  const {element, drawn, field} = Elements, {number, span} = Numbers;
  const MOST = 50, STEP = 200, MONEY = 1, MASS = 2, DAYS = 4;
  const OPEN = "can't be said yet", MORE = "not every part's is told";
  const money = x => `${number(x, "money")} ${data.currency}`;
  const points = x => (Values.rounded(x, 2) / 100).toFixed(2);
  const text = number => data.texts[number];
  const WAITS = Engine.WAITS;
  const STATE = {fits: ["fits", "fits"], open: ["open", OPEN], [WAITS]: ["waits", WAITS]};

  /* A figure's value to show and its ends; null where it can't be said. */
  function figureAt(found, name) {
    for (let k = 0; k < found.groups.length; k++) {
      const columns = found.groups[k].figures?.[data.figures.indexOf(name)];
      if (!columns) continue;
      const said = columns.map(one => one[found.rows[k]]);
      return said.includes(null) ? null : said;
    }
    return null;
  }

  const FIGURES = [["travel_mm", "travel at the wheel", "mm"], ["sag_mm", "sag at the shaft", "mm"],
    ["wheel_sag_mm", "sag at the wheel", "mm"], ["fill_psi", "start pressure", "psi"],
    ["rate_n_per_mm", "coil", "N/mm"], ["tyre_gap_mm", "tyre gap left", "mm"],
    ["reserve_mm", "bottom-out reserve", "mm"]];

  /* The figure, by its ends where no one number stands for it. */
  const byEnds = (name, [, low, high]) => data.spare.includes(name)
    || high - low > data.wide * Math.max(Math.abs(low), Math.abs(high));
  const shown = (name, said, unit) =>
    `${byEnds(name, said) ? span(said[1], said[2], unit) : number(said[0], unit)} ${unit}`;

  function shareOf(found) {
    const said = figureAt(found, "sag_percent");
    return said ? `${shown("sag_percent", said, "%")} of the stroke` : "";
  }

  function figures(found) {
    const coil = found.shock.kind === 1, total = totals(found);
    const rows = FIGURES.filter(([name]) => name !== (coil ? "fill_psi" : "rate_n_per_mm"))
      .map(([name, words, unit]) => {
        const said = figureAt(found, name);
        if (!said) return [words, OPEN];
        const ends = span(said[1], said[2], unit), apart = ends.includes(" to ") && !byEnds(name, said);
        const beneath = [name === "sag_mm" ? shareOf(found) : "", apart ? `from ${ends}` : ""];
        return [words, shown(name, said, unit), beneath.filter(one => one).join("; ")];
      });
    rows.push(["mass of the parts", total.mass], ["days until it rides", total.days, total.lacks & DAYS ? MORE : ""]);
    return element("dl", {class: "figures"}, ...rows.map(([words, value, beneath]) =>
      element("div", {}, element("dt", {}, words), element("dd", {}, value, beneath ? element("small", {}, beneath) : null))));
  }

  /* The bundle's totals in words: what is told, from least to most, and where some part's is not. */
  function totals(found) {
    let low = 0, high = 0, days = 0, lacks = 0;
    found.groups.forEach((group, k) => {
      const r = found.rows[k];
      low += group.told[0][r]; high += group.told[1][r]; lacks |= group.lacks?.[r];
      days = Math.max(days, (group.known ?? group.days[0])[r]);
    });
    const more = (bit, most, told) => !(lacks & bit) ? told : most ? `${told} or more` : "not told";
    const wait = lacks & DAYS ? (days > 0 ? days + 1 : 0) : found.days;
    return {lacks, price: more(MONEY, high, `${span(low, high, "money")} ${data.currency}`),
      mass: lacks & MASS ? "not known" : `${found.mass} g`, days: more(DAYS, wait, String(Values.rounded(wait, 2) / 100))};
  }

  function meter(value) {
    const rect = width => drawn("rect", {x: 0, y: 0, width, height: 10});
    return drawn("svg", {class: "meter", viewBox: "0 0 100 10", preserveAspectRatio: "none", "aria-hidden": "true"},
      rect(100), rect((100 * value).toFixed(1)));
  }

  function bars(found, made) {
    return element("ul", {class: "bars"}, ...Engine.scores(found.shock, found, made, state.wishes).map(one =>
      element("li", {}, element("span", {}, one.name), meter(one.value),
        element("span", {}, `${points(one.points)} of ${one.weight}`))));
  }

  function parts(found) {
    const rows = found.groups.flatMap((group, k) => group.lines[found.rows[k]]);
    const order = ["shock", "stroke", "head kit", "shaft kit", "tune", "spring"];
    rows.sort((a, b) => order.indexOf(a[0]) - order.indexOf(b[0]));
    const cells = rows.map(([role, what, price, labour]) => element("tr", {},
      element("td", {}, role), element("td", {}, text(what)),
      element("td", {class: "num", "data-cap": "price"}, text(price)),
      element("td", {class: "num", "data-cap": text(labour) ? "labour" : null}, text(labour))));
    const total = totals(found);
    const head = ["part", "what", "price", "labour"].map((one, k) =>
      element("th", {scope: "col", class: k > 1 ? "num" : null}, one));
    return element("table", {class: "lines"}, element("thead", {}, element("tr", {}, ...head)),
      element("tbody", {}, ...cells),
      element("tfoot", {}, element("tr", {}, element("th", {scope: "row"}, "the whole"),
        element("td", {class: "num", colspan: 3}, total.price,
          total.lacks & MONEY ? element("small", {}, MORE) : null))));
  }

  function doubts(found) {
    const named = [];
    data.bits.forEach((name, k) => {
      const word = k < 31 ? 0 : k < 62 ? 1 : 2;
      if (found.bits[word] >>> (k - 31 * word) & 1) named.push(name);
    });
    data.joint.forEach((name, k) => { if (found.joint >> k & 1) named.push(name); });
    return [...named, ...Engine.wishesOf(found.asks, 1).map(name => data.labels[name])];
  }

  function cautions(found) {
    const way = found.shock.ways[found.way];
    const numbers = [...way.cautions, ...found.groups.flatMap((group, k) => group.cautions[found.rows[k]])];
    return [...new Set(numbers)].map(text);
  }

  function sizeOf(found) {
    for (let k = 0; k < found.groups.length; k++) {
      const {sizes} = found.groups[k];
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

  function worth(found) {
    const {price, days} = totals(found);
    return `${points(found.points)} points, ${price}, ${days === "not told" ? "days not told" : days === "1" ? "1 day" : `${days} days`}`;
  }

  function row(found, place, made) {
    const [style, words] = STATE[found.state];
    const out = element("details", {class: "row", "data-key": found.shock.key},
      element("summary", {}, element("span", {}, `${place}. ${found.shock.key}`), element("span", {}, sizeOf(found)),
        element("span", {class: `state ${style}`}, words),
        element("span", {}, worth(found))));
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
      const left = list.length - to;
      field("more").hidden = left <= 0;
      field("more").textContent = `Show ${Math.min(left, STEP)} more of the other ${left}`;
      field("more").onclick = () => add(to, to + STEP);
    };
    box.replaceChildren();
    add(0, MOST);
  }

  return {show, doubts, sizeOf, money};
};
