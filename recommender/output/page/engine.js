"use strict";
/* The answer again, with other wishes: states, bundles and order as the command line gives them. */
const Engine = (() => {
  const {rounded, valueAt, counting, share} = Values;
  const {over, daysBroken, travelBroken, kindBroken, adjustersBroken, shockQuantity} = Musts;
  const WAITS = "fits, the choice waits for a measurement";

  /* A column written out; of columns that hold one value alone there is one of each size. */
  const plainColumns = new Map();
  function expand(column, size) {
    if (Array.isArray(column)) return column;
    if (!plainColumns.has(size)) plainColumns.set(size, new Map());
    const some = plainColumns.get(size);
    if (!some.has(column)) some.set(column, new Array(size).fill(column));
    return some.get(column);
  }

  function opened(group) {
    const size = group.size, wide = c => expand(c, size);
    const all = columns => Object.fromEntries(Object.entries(columns ?? {}).map(([k, c]) => [k, wide(c)]));
    const filled = (column, x) => wide(Array.isArray(column) ? column.map(one => one ?? x) : column ?? x);
    const ends = c => [wide(c[0]), filled(c[1], -Infinity), filled(c[2], Infinity)];
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
      looks: Looks.opened(shock.looks ?? [], ways),
    }));
    return {...data, shocks};
  }

  function bitCount(x) {
    let n = 0;
    for (; x; x &= x - 1) n++;
    return n;
  }

  /* Each entry's own points under these wishes and weights. */
  function give(one, made) {
    const {size, values} = one.group, columns = [], weights = [];
    let travel = null;
    for (const each of made) {
      if (each.how === "row" && each.name in values) {
        columns.push(values[each.name]);
        weights.push(each.weight);
      } else if (one.group.travel && each.how === "moved" && each.fact === "travel_mm") travel = each;
    }
    if (travel) {
      columns.push(one.group.travel[0].map(x => valueAt(travel.points, x)));
      weights.push(travel.weight);
    }
    one.values = columns;
    one.own = columns.length ? [] : expand(0, size);
    for (let r = 0; columns.length && r < size; r++) {
      let sum = 0;
      for (let k = 0; k < columns.length; k++) sum += share(weights[k], columns[k][r]);
      one.own.push(sum);
    }
  }

  /* Which entries break the musts for days and travel: 0 none, 1 perhaps, 2 for certain. */
  function hold(one, wishes) {
    const {size, days, travel} = one.group, {days: late, travel_mm: far} = wishes;
    const column = (low, high, broken) => low === expand(low[0], size) && high === expand(high[0], size)
      ? expand(broken(low[0], high[0]), size) : low.map((x, r) => broken(x, high[r]));
    one.late = late.must === null ? expand(0, size) : column(days[1], days[2], (a, b) => daysBroken(late, a, b));
    one.far = far.must === null || !travel ? expand(0, size)
      : column(travel[1], travel[2], (a, b) => travelBroken(far, a, b));
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

  /* Whether entry q does better than r in every bundle: as good or better in all that counts, with
     more points or for less money. */
  function beats({group, own, late, far}, q, r) {
    const {price, mass, days, workshop, doubt, touched} = group;
    const less = column => column[q] <= column[r], within = column => (column[q] & ~column[r]) === 0;
    return own[q] >= own[r] && (own[q] > own[r] || price[0][q] <= price[0][r] - 0.02)
      && !touched[q] && !touched[r] && price.every(less) && mass.every(less) && less(days[0])
      && less(workshop) && less(late) && less(far) && doubt.every(within);
  }

  /* The entries that some bundle may be best with, the most points first. */
  function promising(one, able) {
    const {own, group} = one, [price] = group.price, rows = [], kept = [];
    for (let r = 0; r < group.size; r++) if (able(one, r)) rows.push(r);
    rows.sort((p, q) => own[q] - own[p] || price[p] - price[q]);
    for (const r of rows)
      if (able === any || !kept.some(q => beats(one, q, r))) kept.push(r);
    return kept;
  }

  /* What the remaining groups can add at best: their entries in a promising order, the most own
     points, the least price and mass, and of both the least at the end that a must is held to: the
     most they may be for a bundle that is sure. */
  function prospects(groups, able) {
    const end = able === doubtless ? 2 : 1;
    const lists = groups.map(one => promising(one, able));
    const out = [{own: 0, price: 0, mass: 0, priceEnd: 0, massEnd: 0}];
    for (let k = groups.length - 1; k >= 0; k--) {
      const {own, group} = groups[k], rest = out[0];
      let price = Infinity, mass = Infinity, priceEnd = Infinity, massEnd = Infinity;
      for (const r of lists[k]) {
        price = Math.min(price, group.price[0][r]);
        mass = Math.min(mass, group.mass[0][r]);
        priceEnd = Math.min(priceEnd, group.price[end][r]);
        massEnd = Math.min(massEnd, group.mass[end][r]);
      }
      out.unshift({own: rest.own + (lists[k].length ? own[lists[k][0]] : 0), price: rest.price + price,
        mass: rest.mass + mass, priceEnd: rest.priceEnd + priceEnd, massEnd: rest.massEnd + massEnd});
    }
    return {lists, rest: out, none: lists.some(rows => !rows.length)};
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
      const one = groups[k], {group} = one, p = group.price, m = group.mass;
      const {price, priceLow, priceHigh, mass, massLow, massHigh, days, workshop, micro, late, far,
        a, b, c, at} = t;
      for (const r of lists[k]) {
        rows[k] = r;
        t.price = price + p[0][r]; t.priceLow = priceLow + p[1][r]; t.priceHigh = priceHigh + p[2][r];
        t.mass = mass + m[0][r]; t.massLow = massLow + m[1][r]; t.massHigh = massHigh + m[2][r];
        t.days = Math.max(days, group.days[0][r]);
        t.workshop = workshop + group.workshop[r];
        t.micro = micro + one.own[r];
        t.late = Math.max(late, one.late[r]); t.far = Math.max(far, one.far[r]);
        t.a = a | group.doubt[0][r]; t.b = b | group.doubt[1][r]; t.c = c | group.doubt[2][r];
        t.at = joint[k] ? at * group.size + r : at;
        if (k + 1 === last || !hopeless(t, rest[k + 1])) step(k + 1);
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
    /* What takes few values is looked up. */
    const told = one => {
      const seen = new Map();
      return x => {
        if (!seen.has(x)) seen.set(x, of(one, x));
        return seen.get(x);
      };
    };
    const [ofDays, ofWork, ofDoubt] = [days, work, doubt].map(told);
    const points = (cents, grams, wait, jobs, doubts) => of(price, cents / 100) + of(mass, grams)
      + ofDays(wait) + ofWork(jobs) + ofDoubt(doubts);
    points.most = [price, mass, days, work, doubt].reduce((sum, one) => sum + (one ? share(one.weight, 1) : 0), 0);
    return points;
  }

  /* What the groups hang on: of wishes and weights what gives points, and what is held to. */
  const keysOf = (made, wishes) => ({
    own: JSON.stringify([made.filter(one => one.how === "row").map(one => [one.name, one.weight]),
      made.filter(one => one.fact === "travel_mm" && one.how === "moved").map(one => [one.weight, one.points])]),
    must: JSON.stringify([wishes.days.must, wishes.travel_mm.must]),
  });

  /* The groups of a shock under these wishes and weights; what they hang on is looked at again only
     where it has changed. */
  function weighed(shock, made, wishes, keys) {
    const now = shock.weighed ??= {ways: shock.ways.map(way => way.groups.map(group => ({group})))};
    if (now.own === keys.own && now.must === keys.must) return now.ways;
    for (const groups of now.ways) {
      groups.doubtless = groups.possible = groups.any = undefined;
      for (const one of groups) {
        if (now.own !== keys.own) give(one, made);
        if (now.must !== keys.must) hold(one, wishes);
      }
    }
    Object.assign(now, keys);
    return now.ways;
  }

  /* `able` is one of three functions; what it leaves is kept with the groups. */
  const prospectsOf = (groups, able) => groups[able.name] ??= prospects(groups, able);

  /* The best sure and, where there is none, the best open bundle of one shock. */
  function judged(shock, made, wishes, points, keys) {
    const kind = kindBroken(wishes.spring_kind, shock.kind);
    const adjust = adjustersBroken(wishes.adjusters, shock.adjusters);
    const ways = weighed(shock, made, wishes, keys);
    const state = {shock, best: null, ways, kind, adjust, settled: false};
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
    const beyond = (name, x) => over(name, wishes[name].must, x - 1e-9, x - 1e-9) > 0;
    const hopeless = (t, rest) => {
      if (beyond("budget", (sure ? t.priceHigh : t.priceLow) + rest.priceEnd)
        || beyond("mass_g", (sure ? t.massHigh : t.massLow) + rest.massEnd)) return true;
      if (best === null) return false;
      const own = fixed + t.micro + rest.own;
      return own + points.most < best.micro || own
        + points(rounded(t.price + rest.price - 1e-9, 2), rounded(t.mass + rest.mass - 1e-9, 0),
          waited(t.days), rounded(t.workshop, 0), 0) < best.micro;
    };
    shock.ways.forEach((way, number) => {
      const found = prospectsOf(ways[number], able), [least] = found.rest;
      if (found.none || beyond("budget", least.priceEnd) || beyond("mass_g", least.massEnd)) return;
      walk(way, ways[number], found, hopeless, t => leaf(way, number, t));
    });
    return best;

    function leaf(way, number, t) {
      if (best && fixed + t.micro + points.most < best.micro) return;
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
        joint: code, asks: musts(dear, heavy, t.late, t.far, kind, adjust)});
    }
  }

  /* By wish what its must says: 0 kept, 1 broken perhaps, 2 for certain; and the wishes of one of these. */
  const musts = (budget, mass_g, days, travel_mm, spring_kind, adjusters) =>
    ({budget, mass_g, days, travel_mm, spring_kind, adjusters});
  const wishesOf = (said, how) => Object.keys(said).filter(name => said[name] === how);

  /* Why the wishes turn a shock down: the completion that breaks fewest of them, then the cheapest. */
  function nearest(shock, {ways, kind, adjust}, wishes) {
    let least = null;
    const hopeless = (t, rest) => {
      if (!least) return false;
      const count = (t.late === 2) + (t.far === 2) + (kind === 2) + (adjust === 2);
      return count > least.count || (count === least.count && t.priceLow + rest.priceEnd - 1e-9 >= least.price);
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
        broken: wishesOf(musts(dear, heavy, t.late, t.far, kind, adjust), 2)};
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
  function settled(shock, wishes, key) {
    let closer = false;
    for (const look of shock.looks()) {
      const found = Looks.settles(look, shock, wishes, key);
      if (found === "fits") return {state: WAITS, closer: false};
      if (found === "ruled out") return {state: found, closer: false};
      closer ||= found === "unseen";
    }
    return {state: "open", closer};
  }

  /* The same, kept while the musts stay as they are. */
  function lookedAt(shock, wishes, musts, key) {
    if (shock.looked?.musts !== musts) shock.looked = {musts, ...settled(shock, wishes, key)};
    return shock.looked;
  }

  const OUT = {state: "ruled out"}, FITS = {state: "fits"};

  /* The whole answer: counts, the list in order, and what the moved wishes alone turn down. While
     the wishes are those asked, states are those the program found. */
  function answer(data, wishes, weights) {
    const made = counting(data, wishes, weights);
    const list = [], out = [], points = totalPoints(made), asAsked = same(wishes, data.wishes);
    const keys = keysOf(made, wishes), looksKey = Looks.keyOf(wishes);
    const mustsKey = JSON.stringify(Object.values(wishes).map(one => one.must));
    for (const shock of data.shocks) {
      const found = judged(shock, made, wishes, points, keys), {best} = found;
      const look = !best ? OUT : best.sure ? FITS
        : asAsked ? {state: shock.asked} : lookedAt(shock, wishes, mustsKey, looksKey);
      if (look.state === "ruled out") {
        found.settled = best !== null;
        out.push(found);
      } else {
        best.shock = shock;
        best.state = look.state;
        best.closer = look.closer;
        best.points = best.micro / 1e6;
        list.push(best);
      }
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

  return {open, answer, scores, nearest, wishesOf, WAITS};
})();
