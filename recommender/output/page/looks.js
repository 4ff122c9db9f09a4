"use strict";
/* What closer looks along unmeasured facts say of a shock that can't be said yet. */
const Looks = (() => {
  const {over, daysBroken, travelBroken, kindBroken, adjustersBroken} = Musts;
  const FITS = 0, OPEN = 1, OUT = 2;
  /* A piece of what a number may be that is not cut any further. */
  const FINEST = 2 ** -24;

  /* A shock's looks with their columns written out, when they are first asked for. */
  function opened(looks, ways) {
    let made = null;
    return () => made ??= looks.map(look => look.map(stretch => ({...stretch, ways: ways(stretch.ways), told: new Map()})));
  }

  /* A group's entries that surely, or else possibly, keep the wishes for days and travel, with the
     least price and mass among them; kept while the wishes but the budget stay. */
  function keeping(group, wishes, sure, key) {
    if (group.looked?.key !== key) group.looked = {key};
    return group.looked[sure] ??= able(group, wishes, sure);
  }

  function able(group, wishes, sure) {
    const {size, doubt, days, travel} = group, end = sure ? 2 : 1, rows = [];
    let price = Infinity, mass = Infinity;
    for (let r = 0; r < size; r++) {
      if (sure && (doubt[0][r] || doubt[1][r] || doubt[2][r])) continue;
      const late = daysBroken(wishes.days, days[1][r], days[2][r]);
      const far = travel ? travelBroken(wishes.travel_mm, travel[1][r], travel[2][r]) : 0;
      if (Math.max(late, far) >= (sure ? 1 : 2)) continue;
      rows.push(r);
      price = Math.min(price, group.price[end][r]);
      mass = Math.min(mass, group.mass[end][r]);
    }
    return {rows, price, mass};
  }

  /* The least price of a completion that surely, or else possibly, meets all other wishes where
     everything is as told there, Infinity if none does: the entries in turn, those left out that
     what is left can no longer make good. */
  function least(way, wishes, sure, key) {
    const end = sure ? 2 : 1, {groups} = way, last = groups.length, most = wishes.mass_g.must;
    const lists = groups.map(group => keeping(group, wishes, sure, key)), rest = [{price: 0, mass: 0}];
    for (const one of lists.toReversed()) {
      if (!one.rows.length) return Infinity;
      rest.unshift({price: rest[0].price + one.price, mass: rest[0].mass + one.mass});
    }
    if (most === null && !way.allowed && !way.least) return rest[0].price;
    const joint = groups.map((_, k) => way.joint.includes(k));
    const heavy = mass => over("mass_g", most, mass, mass) > 0;
    let found = Infinity;
    /* `low` to `high` is ordered of the supplier that asks for way.least, if `some` is. */
    const step = (k, price, mass, at, low, high, some) => {
      if (price + rest[k].price - 1e-9 >= found || heavy(mass + rest[k].mass - 1e-9)) return;
      if (k === last) {
        if (heavy(mass) || price >= found || (some && (sure ? low : high) < way.least)) return;
        if (!way.allowed || (sure ? way.allowed[at] === "0" : way.allowed[at] !== "-")) found = price;
        return;
      }
      const {price: cost, mass: weight, ordered, size} = groups[k];
      for (const r of lists[k].rows)
        step(k + 1, price + cost[end][r], mass + weight[end][r], joint[k] ? at * size + r : at,
          low + (ordered ? ordered[1][r] : 0), high + (ordered ? ordered[2][r] : 0),
          some || (ordered !== null && ordered[0][r] !== null));
    };
    step(0, 0, 0, 0, 0, 0, false);
    return found;
  }

  /* Least prices of a stretch's ways between those shares of it; kept while the other wishes stay. */
  function leastOf(stretch, from, to, wishes, key) {
    const place = `${from} ${to}`;
    if (stretch.told.key !== key) {
      stretch.told.clear();
      stretch.told.key = key;
    }
    if (!stretch.told.has(place)) {
      const ways = stretch.span ? between(stretch.ways, from, to) : stretch.ways;
      const all = sure => ways.reduce((low, way) => Math.min(low, least(way, wishes, sure, key)), Infinity);
      stretch.told.set(place, [all(true), all(false)]);
    }
    return stretch.told.get(place);
  }

  function stateOf(stretch, from, to, shock, wishes, key) {
    const shown = Math.max(kindBroken(wishes.spring_kind, shock.kind), adjustersBroken(wishes.adjusters, shock.adjusters));
    if (shown === 2) return OUT;
    const [sure, possible] = leastOf(stretch, from, to, wishes, key);
    const within = price => price < Infinity && !over("budget", wishes.budget.must, price, price);
    return shown === 0 && within(sure) ? FITS : within(possible) ? OPEN : OUT;
  }

  /* A quantity's ends at a share of a stretch: straight between the nodes. */
  function endsAt(nodes, share) {
    const x = share * (nodes.length - 1), k = Math.min(Math.floor(x), nodes.length - 2), part = x - k;
    const between = end => nodes[k][end].map((low, r) =>
      part === 0 ? low : part === 1 ? nodes[k + 1][end][r] : low + part * (nodes[k + 1][end][r] - low));
    return [between(1), between(2)];
  }

  /* What a quantity told at nodes may be between those shares. */
  function hull(nodes, from, to) {
    const marks = [from, to], steps = nodes.length - 1;
    for (let k = 1; k < steps; k++) if (k / steps > from && k / steps < to) marks.push(k / steps);
    const ends = marks.map(share => endsAt(nodes, share));
    const low = ends[0][0].map((_, r) => Math.min(...ends.map(one => one[0][r])));
    return [nodes[0][0], low, low.map((_, r) => Math.max(...ends.map(one => one[1][r])))];
  }

  /* A group on a piece of a stretch; the ends and the whole, which are asked for most, are kept. */
  function part(group, from, to) {
    const place = `${from} ${to}`;
    if (!group.nodes) return group;
    if (group.parts?.[place]) return group.parts[place];
    const made = {...group, nodes: null, looked: null};
    for (const [what, nodes] of Object.entries(group.nodes)) made[what] = hull(nodes, from, to);
    if (from % 1 === 0 && to % 1 === 0) (group.parts ??= {})[place] = made;
    return made;
  }

  /* The ways on a piece of a stretch, told at its nodes, between those shares of it. */
  const between = (ways, from, to) =>
    ways.map(way => ({...way, groups: way.groups.map(group => part(group, from, to))}));

  /* The states seen on a stretch, told to `see`, which answers whether it has seen enough. */
  function along(stretch, shock, wishes, key, see) {
    const own = "kind" in stretch ? stretch : shock, {ways, span} = stretch;
    const at = (from, to) => stateOf(stretch, from, to, own, wishes, key);
    if (!span || !ways.some(way => way.groups.some(g => g.nodes))) return see(at(0, 1));
    const whole = span[1] - span[0];
    const look = (from, to) => {
      const state = at(from, to);
      if (state !== OPEN) return see(state);
      if ((to - from) * whole <= FINEST) return see(OPEN);
      const middle = (from + to) / 2;
      return see(at(middle, middle)) || look(from, middle) || look(middle, to);
    };
    return see(at(0, 0)) || see(at(1, 1)) || look(0, 1);
  }

  /* "fits" if every value of what the fact may be lets it in, "ruled out" if none does; else "".
     `key`: of the wishes, `keyOf`. */
  function settles(look, shock, wishes, key) {
    const seen = new Set();
    const see = state => {
      seen.add(state);
      return seen.has(OPEN) || (seen.has(FITS) && seen.has(OUT));
    };
    if (look.some(stretch => along(stretch, shock, wishes, key, see))) return "";
    return seen.has(FITS) ? "fits" : "ruled out";
  }

  /* What least prices hang on. */
  const keyOf = wishes => JSON.stringify([wishes.days.must, wishes.travel_mm.must, wishes.mass_g.must]);

  return {opened, settles, keyOf};
})();
