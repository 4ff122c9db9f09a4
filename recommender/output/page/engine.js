"use strict";
/* The answer again, with other wishes: states, bundles and order as the command line gives them. */
const Engine = (() => {
  const {rounded, valueAt, counting, share} = Values;
  const {over, daysBroken, travelBroken, kindBroken, adjustersBroken, shockQuantity} = Musts;
  const WAITS = "fits, the choice waits for a measurement";

  const expand = (column, size) => Array.isArray(column) ? column : new Array(size).fill(column);

  function opened(group) {
    const size = group.size, wide = c => expand(c, size);
    const all = columns => Object.fromEntries(Object.entries(columns ?? {}).map(([k, c]) => [k, wide(c)]));
    const ends = c => [wide(c[0]), wide(c[1]).map(x => x ?? -Infinity), wide(c[2]).map(x => x ?? Infinity)];
    return {
      ...group,
      values: all(group.values),
      quantities: all(group.quantities),
      figures: Object.fromEntries(Object.entries(group.figures ?? {}).map(([k, some]) => [k, some.map(wide)])),
      told: (group.told ?? []).map(wide), lacks: wide(group.lacks ?? 0), known: group.known === undefined ? null : wide(group.known),
      price: ends(group.price), mass: ends(group.mass), days: ends(group.days),
      travel: group.travel && ends(group.travel),
      nodes: group.nodes?.map(node => Object.fromEntries(Object.entries(node)
        .map(([what, column]) => [what, column && ends(column)]))),
      workshop: wide(group.workshop ?? 0), doubt: group.doubt.map(wide), touched: wide(group.touched),
    };
  }

  /* The data with its columns written out; done once. */
  function open(data) {
    Musts.tolerate(data.tolerances);
    const ways = some => some.map(way => ({...way, groups: way.groups.map(opened)}));
    const shocks = data.shocks.map(shock => ({
      ...shock, ways: ways(shock.ways),
      looks: (shock.looks ?? []).map(look => look.map(stretch => ({...stretch, ways: ways(stretch.ways)}))),
    }));
    return {...data, shocks};
  }

  function bitCount(x) {
    let n = 0;
    for (; x; x &= x - 1) n++;
    return n;
  }

  /* A group under these wishes: each entry's own points and what it breaks. */
  function weighedGroup(group, made, wishes) {
    const local = made.filter(one => one.how === "row" && one.name in group.values);
    const columns = local.map(one => group.values[one.name]), {size} = group;
    const travel = group.travel && made.find(one => one.fact === "travel_mm" && one.how === "moved");
    const far = new Uint8Array(size), late = new Uint8Array(size), own = new Float64Array(size);
    const ways = travel && group.travel[0].map(x => valueAt(travel.points, x));
    for (let r = 0; r < size; r++) {
      let sum = travel ? share(travel.weight, ways[r]) : 0;
      for (let k = 0; k < local.length; k++) sum += share(local[k].weight, columns[k][r]);
      own[r] = sum;
      late[r] = daysBroken(wishes.days, group.days[1][r], group.days[2][r]);
      if (group.travel) far[r] = travelBroken(wishes.travel_mm, group.travel[1][r], group.travel[2][r]);
    }
    return {group, own, late, far, values: travel ? [...columns, ways] : columns};
  }

  const doubtless = (one, r) => !one.group.doubt[0][r] && !one.group.doubt[1][r]
    && !one.group.doubt[2][r] && !one.late[r] && !one.far[r];
  const any = () => true;
  const possible = (one, r) => one.late[r] < 2 && one.far[r] < 2;

  /* Everything in which an entry may be better than another, as numbers to have more of. */
  function worth({group, late, far, values}, r) {
    const doubts = bitCount(group.doubt[0][r]) + bitCount(group.doubt[1][r])
      + bitCount(group.doubt[2][r]) + (late[r] > 0) + (far[r] > 0);
    return [...values.map(column => column[r]), -group.price[0][r], -group.mass[0][r],
      -group.days[0][r], -group.workshop[r], -doubts];
  }

  /* Whether another entry makes this one needless: as good or better in all that counts. */
  function needless(one, r, sure) {
    const {group} = one, able = sure ? doubtless : possible;
    if (group.touched[r]) return false;
    const mine = worth(one, r);
    for (let q = 0; q < group.size; q++) {
      if (q === r || group.touched[q] || !able(one, q)) continue;
      const other = worth(one, q);
      if (!mine.every((x, k) => x <= other[k])) continue;
      if (q < r || mine.some((x, k) => x < other[k])) return true;
    }
    return false;
  }

  function before(a, b) {
    for (let k = 0; k < a.length; k++) if (a[k] !== b[k]) return a[k] < b[k];
    return false;
  }
  const inOrder = (a, b) =>
    a.way < b.way || (a.way === b.way && before(a.rows, b.rows)) ? [a, b] : [b, a];

  /* The better of two bundles of one shock; of equals the first that nothing makes needless. */
  function better(a, b) {
    if (!a) return b;
    const differ = (b.micro - a.micro) || (a.cents - b.cents) || (a.mass - b.mass);
    if (differ) return differ > 0 ? b : a;
    const useful = one => one.groups.every((g, k) => !needless(g, one.rows[k], one.sure));
    const [first, second] = inOrder(a, b);
    return useful(first) || !useful(second) ? first : second;
  }

  /* What the remaining groups can add at best: their entries in a promising order, the most own
     points, the least price and mass. */
  function prospects(groups, able) {
    const lists = groups.map(one => {
      const rows = [];
      for (let r = 0; r < one.group.size; r++) if (able(one, r)) rows.push(r);
      return rows.sort((p, q) => one.own[q] - one.own[p]);
    });
    const out = [{own: 0, price: 0, mass: 0, priceLow: 0}];
    for (let k = groups.length - 1; k >= 0; k--) {
      const {own, group} = groups[k], rest = out[0];
      let price = Infinity, mass = Infinity, priceLow = Infinity;
      for (const r of lists[k]) {
        price = Math.min(price, group.price[0][r]);
        mass = Math.min(mass, group.mass[0][r]);
        priceLow = Math.min(priceLow, group.price[1][r]);
      }
      out.unshift({own: rest.own + (lists[k].length ? own[lists[k][0]] : 0),
        price: rest.price + price, mass: rest.mass + mass, priceLow: rest.priceLow + priceLow});
    }
    return {lists, rest: out};
  }

  /* Walks a way's completions from group to group; `leaf` gets each with its sums. Branches that
     `hopeless` rejects are left. */
  function walk(way, groups, {lists, rest}, hopeless, leaf) {
    const rows = new Array(groups.length).fill(0), last = groups.length;
    const joint = groups.map((_, k) => way.joint.includes(k));
    const t = {price: 0, priceLow: 0, priceHigh: 0, mass: 0, massLow: 0, massHigh: 0, days: 0,
      workshop: 0, micro: 0, late: 0, far: 0, a: 0, b: 0, c: 0, at: 0, rows};
    const step = k => {
      if (k === last) {
        if (!way.allowed || way.allowed[t.at] !== "-") leaf(t);
        return;
      }
      const one = groups[k], {group} = one, [p0, p1, p2] = group.price, [m0, m1, m2] = group.mass;
      const {price, priceLow, priceHigh, mass, massLow, massHigh, days, workshop, micro, late, far,
        a, b, c, at} = t;
      for (const r of lists[k]) {
        rows[k] = r;
        t.price = price + p0[r]; t.priceLow = priceLow + p1[r]; t.priceHigh = priceHigh + p2[r];
        t.mass = mass + m0[r]; t.massLow = massLow + m1[r]; t.massHigh = massHigh + m2[r];
        t.days = Math.max(days, group.days[0][r]);
        t.workshop = workshop + group.workshop[r];
        t.micro = micro + one.own[r];
        t.late = Math.max(late, one.late[r]); t.far = Math.max(far, one.far[r]);
        t.a = a | group.doubt[0][r]; t.b = b | group.doubt[1][r]; t.c = c | group.doubt[2][r];
        t.at = joint[k] ? at * group.size + r : at;
        if (!hopeless(t, rest[k + 1])) step(k + 1);
      }
    };
    step(0);
  }

  /* The points of the whole bundle: of its price, mass, days, work and doubts, each the fewer the
     better. */
  function totalPoints(made) {
    const find = fact => made.find(one => one.fact === fact);
    const [price, mass, days, work, doubt] = ["price", "mass", "days", "workshop", "doubt"].map(find);
    const of = (one, x) => one ? share(one.weight, valueAt(one.points, x)) : 0;
    return (cents, grams, wait, jobs, doubts) => of(price, cents / 100) + of(mass, grams)
      + of(days, wait) + of(work, jobs) + of(doubt, doubts);
  }

  /* What weighing a group reads of wishes and weights: while that stays, so do the groups. */
  const weighing = (made, wishes) => JSON.stringify([wishes.days.must, wishes.travel_mm.must,
    made.filter(one => one.how === "row").map(one => [one.name, one.weight]),
    made.filter(one => one.fact === "travel_mm" && one.how === "moved").map(one => [one.weight, one.points])]);
  const kept = new WeakMap();

  function weighed(shock, made, wishes, key) {
    if (kept.get(shock)?.key !== key)
      kept.set(shock, {key, ways: shock.ways.map(way => {
        const groups = way.groups.map(group => weighedGroup(group, made, wishes));
        groups.prospects = new Map();
        return groups;
      })});
    return kept.get(shock).ways;
  }

  function prospectsOf(groups, able) {
    if (!groups.prospects.has(able)) groups.prospects.set(able, prospects(groups, able));
    return groups.prospects.get(able);
  }

  /* The best sure and, where there is none, the best open bundle of one shock. */
  function judged(shock, made, wishes, points, key) {
    const kind = kindBroken(wishes.spring_kind, shock.kind);
    const adjust = adjustersBroken(wishes.adjusters, shock.adjusters);
    const ways = weighed(shock, made, wishes, key);
    const state = {best: null, ways, kind, adjust};
    if (kind === 2 || adjust === 2) return state;
    let fixed = 0;
    for (const one of made)
      if (one.how === "moved" && one.fact.endsWith("_met"))
        fixed += share(one.weight, valueAt(one.points, shockQuantity(one.fact, shock, wishes)));
    if (kind === 0 && adjust === 0) state.best = bestOf(shock, state, wishes, fixed, points, true);
    if (!state.best) state.best = bestOf(shock, state, wishes, fixed, points, false);
    return state;
  }

  const waited = days => days > 0 ? rounded(days + 1, 2) / 100 : 0;

  function bestOf(shock, {ways, kind, adjust}, wishes, fixed, points, sure) {
    const able = sure ? doubtless : possible;
    let best = null;
    /* A hair less than the least sum, lest its rounding be above that of the sum itself. */
    const hopeless = (t, rest) => best !== null && fixed + t.micro + rest.own
      + points(rounded(t.price + rest.price - 1e-9, 2), rounded(t.mass + rest.mass - 1e-9, 0),
        waited(t.days), rounded(t.workshop, 0), 0) < best.micro;
    shock.ways.forEach((way, number) => walk(way, ways[number], prospectsOf(ways[number], able), hopeless, t => {
      const dear = over("budget", wishes.budget.must, t.priceLow, t.priceHigh);
      const heavy = over("mass_g", wishes.mass_g.must, t.massLow, t.massHigh);
      if (dear === 2 || heavy === 2) return;
      const code = way.allowed ? Number(way.allowed[t.at]) : 0;
      const doubt = bitCount(t.a) + bitCount(t.b) + bitCount(t.c) + bitCount(code)
        + (dear > 0) + (heavy > 0) + (t.late > 0) + (t.far > 0) + (kind > 0) + (adjust > 0);
      if (sure && doubt) return;
      const cents = rounded(t.price, 2), grams = rounded(t.mass, 0), jobs = rounded(t.workshop, 0);
      const days = waited(t.days);
      const micro = fixed + t.micro + points(cents, grams, days, jobs, doubt);
      if (best && micro < best.micro) return;
      best = better(best, {micro, cents, price: cents / 100, mass: grams, days, workshop: jobs, doubt,
        sure, way: number, rows: t.rows.slice(), groups: ways[number], bits: [t.a, t.b, t.c],
        joint: code, asks: asked(dear, heavy, t.late, t.far, kind, adjust, 1)});
    }));
    return best;
  }

  const asked = (dear, heavy, late, far, kind, adjust, how) =>
    [["budget", dear], ["mass_g", heavy], ["days", late], ["travel_mm", far],
      ["spring_kind", kind], ["adjusters", adjust]].filter(one => one[1] === how).map(one => one[0]);

  /* Why the wishes turn a shock down: the completion that breaks fewest of them, then the cheapest. */
  function nearest(shock, {ways, kind, adjust}, wishes) {
    let least = null;
    const hopeless = (t, rest) => {
      if (!least) return false;
      const count = (t.late === 2) + (t.far === 2) + (kind === 2) + (adjust === 2);
      return count > least.count || (count === least.count && t.priceLow + rest.priceLow - 1e-9 >= least.price);
    };
    shock.ways.forEach((way, number) => walk(way, ways[number], prospectsOf(ways[number], any), hopeless, t => {
      const dear = over("budget", wishes.budget.must, t.priceLow, t.priceHigh);
      const heavy = over("mass_g", wishes.mass_g.must, t.massLow, t.massHigh);
      const count = (dear === 2) + (heavy === 2) + (t.late === 2) + (t.far === 2) + (kind === 2)
        + (adjust === 2);
      if (least && (count > least.count || (count === least.count && t.priceLow >= least.price))) return;
      const at = ways[number].findIndex(g => g.group.travel);
      least = {count, price: t.priceLow, mass: t.massLow, days: t.days > 0 ? t.days + 1 : 0,
        travel: at < 0 ? null : ways[number][at].group.travel[0][t.rows[at]],
        broken: asked(dear, heavy, t.late, t.far, kind, adjust, 2)};
    }));
    return least;
  }

  /* Every criterion's share of a bundle's points. */
  function scores(shock, found, made, wishes) {
    return made.map(one => {
      let quantity, value;
      const home = found.groups.findIndex(g => one.name in g.group.values);
      if (one.how === "row") {
        quantity = found.groups[home].group.quantities[one.name][found.rows[home]];
        value = found.groups[home].group.values[one.name][found.rows[home]];
      } else {
        if (one.fact === "travel_mm") {
          const at = found.groups.findIndex(g => g.group.travel);
          quantity = found.groups[at].group.travel[0][found.rows[at]];
        } else if (one.fact.endsWith("_met")) quantity = shockQuantity(one.fact, shock, wishes);
        else quantity = found[one.fact];
        value = valueAt(one.points, quantity);
      }
      return {name: one.name, unit: one.unit, weight: one.weight, quantity, value,
        points: share(one.weight, value) / 1e6};
    });
  }

  const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

  /* An open shock looked at along each fact that nobody measured: if every value of the fact lets
     it in it fits, if none does it is ruled out. `closer`: the program may know more. */
  function settled(shock, best, wishes) {
    let closer = false;
    for (const look of shock.looks) {
      const found = Looks.settles(look, shock, wishes);
      if (found === "fits") return {state: WAITS, closer: false};
      if (found === "ruled out") return {state: found, closer: false};
      closer ||= found === "unseen";
    }
    return {state: "open", closer};
  }

  /* The whole answer: counts, the list in order, and what the moved wishes alone turn down. While
     the wishes are those asked, states are those the program found. */
  function answer(data, wishes, weights) {
    const made = counting(data, wishes, weights);
    const list = [], out = [], points = totalPoints(made), asAsked = same(wishes, data.wishes);
    const key = weighing(made, wishes);
    for (const shock of data.shocks) {
      const found = judged(shock, made, wishes, points, key);
      const look = !found.best ? {state: "ruled out"} : found.best.sure ? {state: "fits"}
        : asAsked ? {state: shock.asked} : settled(shock, found.best, wishes);
      if (look.state === "ruled out") out.push({shock, ...found, settled: found.best !== null});
      else list.push({shock, ...found.best, ...look, points: found.best.micro / 1e6});
    }
    list.sort((p, q) => (q.sure - p.sure) || (q.micro - p.micro) || (p.cents - q.cents)
      || (p.mass - q.mass) || (p.shock.order - q.shock.order));
    const count = state => list.filter(one => one.state === state).length;
    return {
      made, list, out, asAsked,
      counts: {fits: count("fits"), open: count("open"), "ruled out": data.settled + out.length,
        [WAITS]: count(WAITS)},
      most: made.reduce((sum, one) => sum + one.weight, 0),
    };
  }

  return {open, answer, scores, nearest, WAITS};
})();
