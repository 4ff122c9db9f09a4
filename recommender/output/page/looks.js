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

  /* The least price of a completion that surely, or else possibly, meets all other wishes where
     everything is as told there, Infinity if none does: the entries in turn, those left out that
     what is left can no longer make good. */
  function least(way, wishes, sure) {
    const end = sure ? 2 : 1, {groups} = way, last = groups.length, most = wishes.mass_g.must;
    const lists = groups.map(g => {
      const rows = [];
      for (let r = 0; r < g.size; r++) {
        if (sure && (g.doubt[0][r] || g.doubt[1][r] || g.doubt[2][r])) continue;
        const late = daysBroken(wishes.days, g.days[1][r], g.days[2][r]);
        const far = g.travel ? travelBroken(wishes.travel_mm, g.travel[1][r], g.travel[2][r]) : 0;
        if (Math.max(late, far) < (sure ? 1 : 2)) rows.push(r);
      }
      return rows;
    });
    if (lists.some(rows => !rows.length)) return Infinity;
    const joint = groups.map((_, k) => way.joint.includes(k));
    const lowest = (what, k) => lists[k].reduce((low, r) => Math.min(low, groups[k][what][end][r]), Infinity);
    const rest = [{price: 0, mass: 0}];
    for (let k = last - 1; k >= 0; k--)
      rest.unshift({price: rest[0].price + lowest("price", k), mass: rest[0].mass + lowest("mass", k)});
    let found = Infinity;
    /* `low` to `high` is ordered of the supplier that asks for way.least, if `some` is. */
    const step = (k, price, mass, at, low, high, some) => {
      if (price + rest[k].price - 1e-9 >= found || over("mass_g", most, mass + rest[k].mass - 1e-9, mass + rest[k].mass - 1e-9)) return;
      if (k === last) {
        if (over("mass_g", most, mass, mass) || price >= found || (some && (sure ? low : high) < way.least)) return;
        if (!way.allowed || (sure ? way.allowed[at] === "0" : way.allowed[at] !== "-")) found = price;
        return;
      }
      const g = groups[k];
      for (const r of lists[k]) {
        const [told, less, more] = g.ordered ? g.ordered.map(ends => ends[r]) : [null, 0, 0];
        step(k + 1, price + g.price[end][r], mass + g.mass[end][r], joint[k] ? at * g.size + r : at,
          low + less, high + more, some || told !== null);
      }
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
      const all = sure => ways.reduce((low, way) => Math.min(low, least(way, wishes, sure)), Infinity);
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
  function endsAt(nodes, what, share) {
    const x = share * (nodes.length - 1), k = Math.min(Math.floor(x), nodes.length - 2), part = x - k;
    const between = end => nodes[k][what][end].map((low, r) =>
      part === 0 ? low : part === 1 ? nodes[k + 1][what][end][r] : low + part * (nodes[k + 1][what][end][r] - low));
    return [between(1), between(2)];
  }

  /* The ways on a piece of a stretch, told at its nodes, between those shares of it. */
  function between(ways, from, to) {
    const hull = (g, what) => {
      if (!g[what]) return g[what];
      const marks = [from, to], steps = g.nodes.length - 1;
      for (let k = 1; k < steps; k++) if (k / steps > from && k / steps < to) marks.push(k / steps);
      const ends = marks.map(share => endsAt(g.nodes, what, share));
      const low = ends[0][0].map((_, r) => Math.min(...ends.map(one => one[0][r])));
      const high = ends[0][1].map((_, r) => Math.max(...ends.map(one => one[1][r])));
      return [g[what][0], low, high];
    };
    return ways.map(way => ({...way, groups: way.groups.map(g => g.nodes ? {...g, price: hull(g, "price"),
      mass: hull(g, "mass"), days: hull(g, "days"), travel: hull(g, "travel"), ordered: hull(g, "ordered")} : g)}));
  }

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
