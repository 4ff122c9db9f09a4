"use strict";
/* What was turned down: the accounts as asked, what the wishes as they stand turn down, and the
   search among all. Of the latter so many are drawn as are asked for. */
const Turned = (data, moved) => {
  const {element, field} = Elements;
  const MOST = 50, STEP = 200;
  const told = [...field("turned").children].map(row => ({
    row, key: row.dataset.key, state: row.dataset.state, size: row.dataset.size, place: Number(row.dataset.place),
    many: Number(row.dataset.many), rules: () => row.dataset.rules.split("|"),
    text() { return this.words ??= row.textContent.toLowerCase(); },
  }));
  const byKey = new Map(told.map(one => [one.key, one]));
  let extra = [], drawn = MOST, wasAsked = true;

  const WHO = {rider: "the rider's to give way", shop: "the shop's to supply"};

  /* The account that a shock told by its rules shares with others; written when it is opened. */
  function shared(account) {
    const item = ([words, who, sure]) => {
      const said = [WHO[who], sure ? "" : "not certain"].filter(one => one).join("; ");
      return element("li", {}, words, said ? element("span", {class: "whose"}, ` (${said})`) : null);
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

  for (const {row} of told)
    if (row.dataset.account) row.addEventListener("toggle", () =>
      row.querySelector(".inside").append(...shared(data.accounts[row.dataset.account])), {once: true});

  function account(answer) {
    if (answer.asAsked !== wasAsked)
      for (const shock of data.shocks)
        if (byKey.has(shock.key)) byKey.get(shock.key).away = !answer.asAsked;
    wasAsked = answer.asAsked;
    extra = moved.entries(answer);
    drawn = MOST;
    sift();
  }

  function sift() {
    const find = field("find").value.trim().toLowerCase(), reason = field("reason").value, which = field("which").value;
    const fits = one => !one.away && (!which || one.state === which)
      && (!reason || one.rules().includes(reason)) && (!find || one.text().includes(find));
    let count = 0;
    for (const one of told) {
      const fit = fits(one);
      if (one.row.hidden === fit) one.row.hidden = !fit;
      count += fit;
    }
    const mine = extra.filter(fits), left = mine.length - drawn;
    const order = field("sort").value;
    if (order !== "near") mine.sort(ORDER[order]);
    field("moved").replaceChildren(...mine.slice(0, drawn).map(one => one.row()));
    field("moved-more").hidden = left <= 0;
    field("moved-more").textContent = `Show ${Math.min(left, STEP)} more of the ${left} that the wishes as they stand turn down`;
    field("shown").textContent = left > 0 ? `${count + drawn} shown, ${left} more below` : `${count + mine.length} shown`;
  }

  const ORDER = {
    near: (a, b) => a.place - b.place,
    name: (a, b) => a.key < b.key ? -1 : 1,
    size: (a, b) => (parseFloat(a.size) || 1e9) - (parseFloat(b.size) || 1e9) || a.place - b.place,
    many: (a, b) => b.many - a.many || a.place - b.place,
  };

  function sorted() {
    field("turned").append(...told.sort(ORDER[field("sort").value]).map(one => one.row));
    sift();
  }

  ["find", "reason", "which"].forEach(id => field(id).addEventListener("input", () => { drawn = MOST; sift(); }));
  field("sort").addEventListener("change", sorted);
  field("moved-more").addEventListener("click", () => { drawn += STEP; sift(); });
  field("tools").hidden = false;

  return {account};
};
