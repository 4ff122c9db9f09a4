"use strict";
/* The wishes as controls. `state` holds wishes and weights as they stand; `moved` is told of every
   change. */
const Controls = (data, state, moved) => {
  const {element} = Elements;
  const AMOUNTS = [["budget", "Price of the whole", data.currency, 10], ["mass_g", "Mass", "g", 10],
    ["days", "Time until it rides", "days", 1]];
  const ADJUSTERS = ["rebound", "low-speed compression", "high-speed compression", "lockout"];

  const reach = {
    budget: wide("price", 100), mass_g: wide("mass", 100), days: wide("days", 7),
  };

  function wide(what, step) {
    let most = 0;
    for (const shock of data.shocks)
      for (const way of shock.ways)
        most = Math.max(most, way.groups.reduce((sum, group) => sum + Math.min(...group[what][1]), 0));
    return Math.max(step * 4, Math.ceil(most * 1.5 / step) * step);
  }

  /* `empty` is where the slider stands while no limit is set. */
  function numberField(label, value, most, step, change, name, empty = most) {
    const box = element("input", {type: "number", min: 0, step: "any", "aria-label": name, value: value ?? ""});
    const slide = element("input", {type: "range", min: 0, max: Math.max(most, value ?? 0), step, "aria-label": `${name}, slider`, value: value ?? empty});
    const take = raw => {
      const wanted = raw === "" ? null : Number(raw);
      if (wanted !== null && !(Number.isFinite(wanted) && wanted >= 0 && wanted <= 1e6)) return;
      change(wanted);
    };
    box.addEventListener("input", () => { slide.value = box.value === "" ? empty : box.value; take(box.value); });
    slide.addEventListener("input", () => { box.value = slide.value; take(slide.value); });
    return element("div", {class: "field"}, element("span", {"aria-hidden": "true"}, label), box, slide);
  }

  function amount([key, title, unit, step]) {
    const field = (label, part) => numberField(label, state.wishes[key][part], reach[key], step,
      value => { state.wishes[key][part] = value; moved(); }, `${title}: ${label}`);
    return element("fieldset", {"data-wish": key}, element("legend", {}, `${title}, ${unit}`),
      field("at most", "must"), field("aimed at", "prefer"));
  }

  function travel() {
    const out = element("fieldset", {"data-wish": "travel_mm"}, element("legend", {}, "Travel, mm"));
    for (const [part, words] of [["must", "must be"], ["prefer", "aimed at"]])
      for (const [end, side] of [[0, "from"], [1, "to"]]) {
        const label = `${words} ${side}`, now = state.wishes.travel_mm[part]?.[end] ?? null;
        out.append(numberField(label, now, 220, 1, value => {
          const band = [...(state.wishes.travel_mm[part] ?? [null, null])];
          band[end] = value;
          const backwards = band[0] !== null && band[1] !== null && band[0] > band[1];
          out.querySelector(".whose").hidden = !backwards;
          if (backwards) return;
          state.wishes.travel_mm[part] = band[0] === null && band[1] === null ? null : band;
          moved();
        }, `Travel ${label}`, end ? 220 : 0));
      }
    out.append(element("p", {class: "whose", hidden: true, role: "alert"}, "'From' is above 'to': the band as it was stays."));
    return out;
  }

  function kinds() {
    const out = element("fieldset", {"data-wish": "spring_kind"}, element("legend", {}, "Spring"));
    for (const [part, label] of [["must", "must be"], ["prefer", "aimed at"]]) {
      const select = element("select", {"aria-label": `Spring ${label}`});
      for (const [value, words] of [["", "either"], ["air", "air"], ["coil", "coil"]])
        select.append(element("option", {value, selected: (state.wishes.spring_kind[part] ?? "") === value}, words));
      select.addEventListener("change", () => { state.wishes.spring_kind[part] = select.value || null; moved(); });
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
          checked: (state.wishes.adjusters[part] ?? []).includes(name)});
        box.addEventListener("change", () => {
          const now = new Set(state.wishes.adjusters[part] ?? []);
          if (box.checked) now.add(name); else now.delete(name);
          state.wishes.adjusters[part] = now.size ? ADJUSTERS.filter(one => now.has(one)) : null;
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
      const shown = element("output", {}, String(state.weights[one.name]));
      const slide = element("input", {type: "range", min: 0, max: Math.max(5, one.weight), step: 0.25,
        value: state.weights[one.name], "aria-label": `weight of ${one.name}`, "data-weight": one.name});
      slide.addEventListener("input", () => {
        state.weights[one.name] = Number(slide.value);
        shown.textContent = slide.value;
        moved();
      });
      inside.append(element("div", {class: "field wide"}, element("span", {"aria-hidden": "true"}, one.name), slide, shown));
    }
    return element("fieldset", {class: "all"}, element("legend", {}, "Weights, 1 = plain"),
      element("details", {}, element("summary", {}, "what counts how much"), inside));
  }

  return {
    draw: form => form.replaceChildren(...AMOUNTS.map(amount), travel(), kinds(), adjusters(), weighing()),
  };
};
