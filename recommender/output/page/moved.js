"use strict";
/* What the wishes as they stand turn down or leave open, each worked out and written when it is
   asked for. */
const Moved = (data, state, list) => {
  const {element, plain} = Elements;
  const {money, doubts, sizeOf} = list;

  function shortBy(name, miss) {
    const limit = state.wishes[name].must;
    if (name === "budget") return `costs at least ${money(miss.price)}, the limit is ${money(limit)}`;
    if (name === "mass_g") return `weighs at least ${plain(miss.mass, 1)} g, the limit is ${limit} g`;
    if (name === "days") return `takes ${plain(miss.days, 2)} days, the limit is ${limit}`;
    if (name === "travel_mm") return `${plain(miss.travel, 1)} mm of travel lies outside ${limit[0] ?? 0} to ${limit[1] ?? "any"} mm`;
    if (name === "spring_kind") return `the spring is not ${limit}`;
    return `lacks an adjuster of: ${limit.join(", ")}`;
  }

  const once = make => {
    let made = null;
    return () => made ??= make();
  };

  /* A shock that no value of some unmeasured fact lets in, whatever bundle is chosen. */
  function hopeless(one) {
    const rules = once(() => doubts({...one.best, shock: one.shock}));
    return entry(one.shock, "ruled out", "", rules, () =>
      [`No value of what is not measured lets it in: ${rules().join(", ")} cannot hold together.`]);
  }

  function missed(one) {
    const miss = once(() => Engine.nearest(one.shock, one, state.wishes));
    return entry(one.shock, "ruled out", "", () => miss().broken.map(name => data.labels[name]), () =>
      ["By the wishes as they stand now:", miss().broken.map(name => shortBy(name, miss()))]);
  }

  function hinging(found) {
    const rules = once(() => doubts(found));
    return entry(found.shock, "open", sizeOf(found), rules, () =>
      [`With the wishes as they stand now it hinges on: ${rules().join(", ")}.`]);
  }

  const WORDS = {"ruled out": ["out", "ruled out"], open: ["open", "can't be said yet"]};

  function entry(shock, state, size, rules, said) {
    const [style, words] = WORDS[state], second = size || shock.name;
    const text = once(() => [shock.key, second, words, ...rules(), ...said().flat()].join(" ").toLowerCase());
    const row = once(() => element("details", {class: "row turned", "data-key": shock.key, "data-state": state},
      element("summary", {}, element("span", {}, shock.key), element("span", {}, second),
        element("span", {class: `state ${style}`}, words), element("span", {class: "whose"}, rules().join(", "))),
      element("div", {class: "inside"}, ...said().map(one => Array.isArray(one)
        ? element("ul", {class: "why"}, ...one.map(each => element("li", {}, each))) : element("p", {}, one)))));
    return {key: shock.key, state, size, place: 0, rules, text, row, get many() { return rules().length; }};
  }

  const entries = answer => answer.asAsked ? [] : [...answer.list.filter(one => !one.sure).map(hinging),
    ...answer.out.map(one => one.settled ? hopeless(one) : missed(one))];

  return {entries};
};
