"use strict";
/* The page: wishes as controls, the list that follows them, and the search among what was turned
   down. Every text goes in as text, never as markup. */
(() => {
  const data = Engine.open(JSON.parse(document.getElementById("data").textContent));
  const asked = () => structuredClone(data.wishes);
  const weighed = () => Object.fromEntries(data.criteria.map(one => [one.name, one.weight]));
  let wishes = asked(), weights = weighed(), pending = 0;

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
  const money = x => `${Number.isInteger(x) ? x : x.toFixed(2)} ${data.currency}`;
  const text = number => data.texts[number];
  const WAITS = "fits, the choice waits for a measurement";
  const STATE = {fits: ["fits", "fits"], open: ["open", "can't be said yet"], [WAITS]: ["waits", WAITS]};

  /* ---- the controls ---- */
  const AMOUNTS = [["budget", "Price of the whole", data.currency, 10], ["mass_g", "Mass", "g", 10],
    ["days", "Days until it rides", "days", 1]];
  const ADJUSTERS = ["rebound", "low-speed compression", "high-speed compression", "lockout"];

  const reach = {
    budget: wide("price", 100), mass_g: wide("mass", 100), days: wide("days", 7),
  };

  function wide(what, step) {
    let most = 0;
    for (const shock of data.shocks)
      for (const way of shock.ways)
        most = Math.max(most, way.groups.reduce((sum, group) => sum + Math.min(...group[what][0]), 0));
    return Math.max(step * 4, Math.ceil(most * 1.5 / step) * step);
  }

  function numberField(label, value, most, step, change, name) {
    const box = element("input", {type: "number", min: 0, step: "any", "aria-label": name, value: value ?? ""});
    const slide = element("input", {type: "range", min: 0, max: Math.max(most, value ?? 0), step, "aria-label": `${name}, slider`, value: value ?? most});
    const take = raw => {
      const wanted = raw === "" ? null : Number(raw);
      if (wanted !== null && !(Number.isFinite(wanted) && wanted >= 0 && wanted <= 1e6)) return;
      change(wanted);
    };
    box.addEventListener("input", () => { if (box.value !== "") slide.value = box.value; take(box.value); });
    slide.addEventListener("input", () => { box.value = slide.value; take(slide.value); });
    return element("div", {class: "field"}, element("span", {"aria-hidden": "true"}, label), box, slide);
  }

  function amount([key, title, unit, step]) {
    const field = (label, part) => numberField(label, wishes[key][part], reach[key], step,
      value => { wishes[key][part] = value; moved(); }, `${title}: ${label}`);
    return element("fieldset", {"data-wish": key}, element("legend", {}, `${title}, ${unit}`),
      field("at most", "must"), field("aimed at", "prefer"));
  }

  function travel() {
    const out = element("fieldset", {"data-wish": "travel_mm"}, element("legend", {}, "Travel, mm"));
    for (const [part, words] of [["must", "must be"], ["prefer", "aimed at"]])
      for (const [end, side] of [[0, "from"], [1, "to"]]) {
        const label = `${words} ${side}`, now = wishes.travel_mm[part]?.[end] ?? null;
        out.append(numberField(label, now, 220, 1, value => {
          const band = [...(wishes.travel_mm[part] ?? [null, null])];
          band[end] = value;
          const backwards = band[0] !== null && band[1] !== null && band[0] > band[1];
          out.querySelector(".whose").hidden = !backwards;
          if (backwards) return;
          wishes.travel_mm[part] = band[0] === null && band[1] === null ? null : band;
          moved();
        }, `Travel ${label}`));
      }
    out.append(element("p", {class: "whose", hidden: true, role: "alert"}, "'From' is above 'to': the band as it was stays."));
    return out;
  }

  function kinds() {
    const out = element("fieldset", {"data-wish": "spring_kind"}, element("legend", {}, "Spring"));
    for (const [part, label] of [["must", "must be"], ["prefer", "aimed at"]]) {
      const select = element("select", {"aria-label": `Spring ${label}`});
      for (const [value, words] of [["", "either"], ["air", "air"], ["coil", "coil"]])
        select.append(element("option", {value, selected: (wishes.spring_kind[part] ?? "") === value}, words));
      select.addEventListener("change", () => { wishes.spring_kind[part] = select.value || null; moved(); });
      out.append(element("div", {class: "field"}, element("span", {"aria-hidden": "true"}, label), select));
    }
    return out;
  }

  function adjusters() {
    const head = element("tr", {}, element("td", {}), element("th", {scope: "col"}, "must"), element("th", {scope: "col"}, "aimed at"));
    const body = element("tbody", {});
    for (const name of ADJUSTERS) {
      const cells = ["must", "prefer"].map(part => {
        const box = element("input", {type: "checkbox", "aria-label": `${name}: ${part === "must" ? "must" : "aimed at"}`,
          checked: (wishes.adjusters[part] ?? []).includes(name)});
        box.addEventListener("change", () => {
          const now = new Set(wishes.adjusters[part] ?? []);
          if (box.checked) now.add(name); else now.delete(name);
          wishes.adjusters[part] = now.size ? ADJUSTERS.filter(one => now.has(one)) : null;
          moved();
        });
        return element("td", {}, box);
      });
      body.append(element("tr", {}, element("th", {scope: "row"}, name), ...cells));
    }
    return element("fieldset", {"data-wish": "adjusters"}, element("legend", {}, "Adjusters"),
      element("table", {class: "ticks"}, element("thead", {}, head), body));
  }

  function weighing() {
    const inside = element("div", {class: "two"});
    for (const one of data.criteria) {
      const shown = element("output", {}, String(weights[one.name]));
      const slide = element("input", {type: "range", min: 0, max: Math.max(5, one.weight), step: 0.25,
        value: weights[one.name], "aria-label": `weight of ${one.name}`, "data-weight": one.name});
      slide.addEventListener("input", () => {
        weights[one.name] = Number(slide.value);
        shown.textContent = slide.value;
        moved();
      });
      inside.append(element("div", {class: "field wide"}, element("span", {"aria-hidden": "true"}, one.name), slide, shown));
    }
    return element("fieldset", {}, element("legend", {}, "Weights, 1 = plain"),
      element("details", {}, element("summary", {}, "what counts how much"), inside));
  }

  const form = document.getElementById("ask");
  function controls() {
    form.replaceChildren(...AMOUNTS.map(amount), travel(), kinds(), adjusters(), weighing());
  }

  /* ---- the list ---- */
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
    return element("ul", {class: "bars"}, ...Engine.scores(found.shock, found, made, wishes).map(one =>
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

  const WISH = {budget: "price", mass_g: "mass", days: "days", travel_mm: "travel",
    spring_kind: "spring kind", adjusters: "adjusters"};

  function doubts(found) {
    const named = [];
    data.bits.forEach((name, k) => {
      const word = k < 31 ? 0 : k < 62 ? 1 : 2;
      if (found.bits[word] >>> (k - 31 * word) & 1) named.push(name);
    });
    data.joint.forEach((name, k) => { if (found.joint >> k & 1) named.push(name); });
    return [...named, ...found.asks.map(name => `wish: ${WISH[name]}`)];
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
        element("span", {class: `state ${style}`}, words),
        element("span", {}, `${found.points.toFixed(2)} points, ${money(found.price)}, ${plain(found.days, 2)} days`)));
    const body = element("div", {class: "inside"});
    out.append(body);
    out.addEventListener("toggle", () => {
      if (out.open && !body.childElementCount) body.append(...inside(found, made));
    });
    return out;
  }

  let shownOpen = new Set();
  function show(answer) {
    const {counts, list, made} = answer;
    document.getElementById("live").textContent =
      `${counts.fits} fit, ${counts.open} can't be said yet, ${counts["ruled out"]} are ruled out.`
      + (counts[WAITS] ? ` ${counts[WAITS]} fit, the choice waits for a measurement.` : "")
      + (list.length ? ` First: ${list[0].shock.key}.` : " Nothing meets every must.");
    field("closer").hidden = answer.asAsked || !counts.open;
    const box = document.getElementById("list");
    shownOpen = new Set([...box.querySelectorAll("details[open]")].map(one => one.dataset.key));
    box.replaceChildren(...list.map((found, k) => row(found, k + 1, made)));
    for (const one of box.children) if (shownOpen.has(one.dataset.key)) one.open = true;
  }

  /* ---- what was turned down ---- */
  const turned = document.getElementById("turned");
  const told = [...turned.children];
  const byKey = new Map(told.map(one => [one.dataset.key, one]));
  const words = new Map(told.map(one => [one, one.textContent.toLowerCase()]));
  let extra = [];

  function shortBy(name, miss) {
    const limit = wishes[name].must;
    if (name === "budget") return `costs at least ${money(Math.round(miss.price * 100) / 100)}, the limit is ${money(limit)}`;
    if (name === "mass_g") return `weighs at least ${plain(miss.mass, 1)} g, the limit is ${limit} g`;
    if (name === "days") return `takes ${plain(miss.days, 2)} days, the limit is ${limit}`;
    if (name === "travel_mm") return `${plain(miss.travel, 1)} mm of travel lies outside ${limit[0] ?? 0} to ${limit[1] ?? "any"} mm`;
    if (name === "spring_kind") return `the spring is not ${limit}`;
    return `lacks an adjuster of: ${limit.join(", ")}`;
  }

  function missed(one) {
    const miss = Engine.nearest(one.shock, one, wishes);
    const rules = miss.broken.map(name => `wish: ${WISH[name]}`);
    return element("details", {class: "row turned", "data-key": one.shock.key, "data-state": "ruled out",
      "data-place": 0, "data-many": rules.length, "data-size": "", "data-rules": rules.join("|")},
      element("summary", {}, element("span", {}, one.shock.key), element("span", {}, one.shock.name),
        element("span", {class: "state out"}, "ruled out"), element("span", {class: "whose"}, rules.join(", "))),
      element("div", {class: "inside"}, element("p", {}, "By the wishes as they stand now:"),
        element("ul", {class: "why"}, ...miss.broken.map(name => element("li", {}, shortBy(name, miss))))));
  }

  function hinging(found) {
    const open = doubts(found);
    return element("details", {class: "row turned", "data-key": found.shock.key, "data-state": "open", "data-place": 0,
      "data-many": open.length, "data-size": sizeOf(found), "data-rules": open.join("|")},
      element("summary", {}, element("span", {}, found.shock.key), element("span", {}, sizeOf(found)),
        element("span", {class: "state open"}, "can't be said yet"), element("span", {class: "whose"}, open.join(", "))),
      element("div", {class: "inside"}, element("p", {}, `With the wishes as they stand now it hinges on: ${open.join(", ")}.`)));
  }

  function account(answer) {
    extra.forEach(one => { words.delete(one); one.remove(); });
    extra = [];
    data.shocks.forEach(shock => byKey.get(shock.key)?.toggleAttribute("data-away", !answer.asAsked));
    if (!answer.asAsked) {
      extra = [...answer.list.filter(one => !one.sure).map(hinging), ...answer.out.map(missed)];
      extra.forEach(one => words.set(one, one.textContent.toLowerCase()));
      turned.prepend(...extra);
    }
    sift();
  }

  function sift() {
    const find = field("find").value.trim().toLowerCase(), reason = field("reason").value, which = field("which").value;
    let count = 0;
    for (const one of turned.children) {
      const fit = !one.hasAttribute("data-away") && (!find || words.get(one).includes(find))
        && (!reason || one.dataset.rules.split("|").includes(reason)) && (!which || one.dataset.state === which);
      one.hidden = !fit;
      count += fit;
    }
    field("shown").textContent = `${count} shown`;
  }

  function sorted() {
    const by = field("sort").value, number = one => Number(one.dataset.place);
    const order = {
      near: (a, b) => number(a) - number(b),
      name: (a, b) => a.dataset.key < b.dataset.key ? -1 : 1,
      size: (a, b) => (parseFloat(a.dataset.size) || 1e9) - (parseFloat(b.dataset.size) || 1e9) || number(a) - number(b),
      many: (a, b) => b.dataset.many - a.dataset.many || number(a) - number(b),
    }[by];
    turned.append(...[...turned.children].sort(order));
  }

  /* ---- moving ---- */
  function recompute() {
    pending = 0;
    const answer = Engine.answer(data, wishes, weights);
    show(answer);
    account(answer);
    return answer;
  }

  function moved() {
    if (!pending) pending = requestAnimationFrame(recompute);
  }

  field("reset").addEventListener("click", () => {
    wishes = asked();
    weights = weighed();
    controls();
    recompute();
  });
  form.addEventListener("submit", event => event.preventDefault());
  ["find", "reason", "which"].forEach(id => field(id).addEventListener("input", sift));
  field("sort").addEventListener("change", sorted);
  field("tools").hidden = false;
  field("wishes").hidden = false;
  controls();
  recompute();
})();
