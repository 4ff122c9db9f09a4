"use strict";
/* What was turned down: the accounts as asked, what the wishes as they stand turn down, and the
   search among all. */
const Turned = (data, state, list) => {
  const {element, field, plain} = Elements;
  const {money, doubts, sizeOf} = list;
  const turned = field("turned");
  const told = [...turned.children];
  const byKey = new Map(told.map(one => [one.dataset.key, one]));
  const words = new Map(told.map(one => [one, one.textContent.toLowerCase()]));
  let extra = [];

  function shortBy(name, miss) {
    const limit = state.wishes[name].must;
    if (name === "budget") return `costs at least ${money(Math.round(miss.price * 100) / 100)}, the limit is ${money(limit)}`;
    if (name === "mass_g") return `weighs at least ${plain(miss.mass, 1)} g, the limit is ${limit} g`;
    if (name === "days") return `takes ${plain(miss.days, 2)} days, the limit is ${limit}`;
    if (name === "travel_mm") return `${plain(miss.travel, 1)} mm of travel lies outside ${limit[0] ?? 0} to ${limit[1] ?? "any"} mm`;
    if (name === "spring_kind") return `the spring is not ${limit}`;
    return `lacks an adjuster of: ${limit.join(", ")}`;
  }

  /* A shock that no value of some unmeasured fact lets in, whatever bundle is chosen. */
  function hopeless(one) {
    const open = doubts({...one.best, shock: one.shock}), told = `No value of what is not measured lets it in: ${open.join(", ")} cannot hold together.`;
    return element("details", {class: "row turned", "data-key": one.shock.key, "data-state": "ruled out",
      "data-place": 0, "data-many": open.length, "data-size": "", "data-rules": open.join("|")},
      element("summary", {}, element("span", {}, one.shock.key), element("span", {}, one.shock.name),
        element("span", {class: "state out"}, "ruled out"), element("span", {class: "whose"}, open.join(", "))),
      element("div", {class: "inside"}, element("p", {}, told)));
  }

  function missed(one) {
    if (one.settled) return hopeless(one);
    const miss = Engine.nearest(one.shock, one, state.wishes);
    const rules = miss.broken.map(name => data.labels[name]);
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

  const WHO = {rider: "the rider's to give way", shop: "the shop's to supply"};

  /* The account that a shock told by its rules shares with others; written when it is opened. */
  function shared(account) {
    const item = ([words, who, sure]) => {
      const told = [WHO[who], sure ? "" : "not certain"].filter(one => one).join("; ");
      return element("li", {}, words, told ? element("span", {class: "whose"}, ` (${told})`) : null);
    };
    const more = (count, words) => count ? element("p", {class: "whose"}, `and ${count < 0 ? "more than can be listed" : count} more${words}`) : null;
    const out = [];
    if (account.ways.length)
      out.push(element("h3", {}, "Least changes that let it in"), element("ul", {class: "why"}, ...account.ways.map(item)), more(account.more, " ways"));
    if (account.clashes.length)
      out.push(element("h3", {}, "What cannot hold together"),
        element("ul", {class: "why"}, ...account.clashes.map(one => element("li", {}, one))), more(account.moreClashes, ""));
    return out.filter(one => one);
  }

  for (const one of told)
    if (one.dataset.account) one.addEventListener("toggle", () =>
      one.querySelector(".inside").append(...shared(data.accounts[one.dataset.account])), {once: true});

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

  ["find", "reason", "which"].forEach(id => field(id).addEventListener("input", sift));
  field("sort").addEventListener("change", sorted);
  field("tools").hidden = false;

  return {account};
};
