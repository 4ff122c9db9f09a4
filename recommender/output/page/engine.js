"use strict";
/* The answer again, with other wishes: states, bundles and order as the command line gives them. */
const Engine = (() => {
  const {rounded, valueAt, counting, share} = Values;
  const {bitCount, doubtless, possible, any, needless, ofGroups, weigh, prospects} = Groups;
  const {over, kindBroken, adjustersBroken, shockQuantity} = Musts;
  const WAITS = "fits, the choice waits for a measurement";

  /* The data with things in place of their numbers; done once. `chosen`: the groups of bundles. */
  function open(data) {
    Musts.tolerate(data.tolerances);
    const groups = Groups.opened(data);
    const ways = some => some.map(way => ({joint: [], cautions: [], ...way, groups: way.groups.map(k => groups[k])}));
    const shocks = data.shocks.map((shock, order) =>
      ({...shock, order, ways: ways(shock.ways), looks: Looks.opened(shock.looks ?? [], ways),
        seen: null, found: null, judged: null, hangs: null, move: 0}));
    const chosen = new Set(shocks.flatMap(shock => shock.ways.flatMap(way => way.groups)));
    const criteria = data.criteria.map((one, at) => ({...one, at}));
    return {...data, criteria, shocks, chosen: [...chosen]};
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
    const useful = one => one.groups.every((group, k) => !needless(group, one.rows[k], one.sure));
    const [first, second] = inOrder(a, b);
    return useful(first) || !useful(second) ? first : second;
  }

  /* Walks a way's completions from group to group; `leaf` gets each with its sums. Branches that
     `hopeless` rejects are left. */
  function walk(way, {lists}, hopeless, leaf) {
    const {groups} = way, rows = new Array(groups.length).fill(0), last = groups.length;
    const joint = groups.map((_, k) => way.joint.includes(k));
    const t = {price: 0, priceLow: 0, priceHigh: 0, mass: 0, massLow: 0, massHigh: 0, days: 0,
      workshop: 0, micro: 0, late: 0, far: 0, a: 0, b: 0, c: 0, at: 0, rows};
    const step = k => {
      if (k === last) {
        if (!way.allowed || way.allowed[t.at] !== "-") leaf(t);
        return;
      }
      const group = groups[k], p = group.price, m = group.mass;
      const {price, priceLow, priceHigh, mass, massLow, massHigh, days, workshop, micro, late, far,
        a, b, c, at} = t;
      for (const r of lists[k]) {
        rows[k] = r;
        t.price = price + p[0][r]; t.priceLow = priceLow + p[1][r]; t.priceHigh = priceHigh + p[2][r];
        t.mass = mass + m[0][r]; t.massLow = massLow + m[1][r]; t.massHigh = massHigh + m[2][r];
        t.days = Math.max(days, group.days[0][r]);
        t.workshop = workshop + group.workshop[r];
        t.micro = micro + group.own[r];
        t.late = Math.max(late, group.late[r]); t.far = Math.max(far, group.far[r]);
        t.a = a | group.doubt[0][r]; t.b = b | group.doubt[1][r]; t.c = c | group.doubt[2][r];
        t.at = joint[k] ? at * group.size + r : at;
        if (k + 1 === last || !hopeless(t, k + 1)) step(k + 1);
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
    /* Shocks cost and weigh much the same: what a total gives is worked out once. */
    const told = (one, unit) => {
      const seen = new Map();
      return x => {
        let found = seen.get(x);
        if (found === undefined) seen.set(x, found = of(one, x / unit));
        return found;
      };
    };
    const ofPrice = told(price, 100), [ofMass, ofDays, ofWork, ofDoubt] = [mass, days, work, doubt].map(one => told(one, 1));
    const points = (cents, grams, wait, jobs, doubts) =>
      ofPrice(cents) + ofMass(grams) + ofDays(wait) + ofWork(jobs) + ofDoubt(doubts);
    points.most = [price, mass, days, work, doubt].reduce((sum, one) => sum + (one ? share(one.weight, 1) : 0), 0);
    return points;
  }

  /* The best sure and, where there is none, the best open bundle of one shock. */
  function judged(shock, made, wishes, points) {
    const kind = kindBroken(wishes.spring_kind, shock.kind);
    const adjust = adjustersBroken(wishes.adjusters, shock.adjusters);
    const state = {shock, best: null, kind, adjust, settled: false};
    if (kind === 2 || adjust === 2) return state;
    let fixed = 0;
    for (const one of made)
      if (one.how === "moved" && one.fact.endsWith("_met"))
        fixed += share(one.weight, valueAt(one.points, shockQuantity(one.fact, shock, wishes)));
    if (kind === 0 && adjust === 0) state.best = bestOf(shock, state, wishes, fixed, points, true);
    if (!state.best) state.best = bestOf(shock, state, wishes, fixed, points, false);
    return state;
  }

  /* The same, kept where neither the shock's groups nor anything else that counts have changed. */
  function judgedOnce(shock, made, wishes, points, hangs, move) {
    if (shock.hangs !== hangs || shock.ways.some(way => way.groups.some(group => group.move > shock.move)))
      shock.judged = judged(shock, made, wishes, points);
    shock.hangs = hangs;
    shock.move = move;
    return shock.judged;
  }

  /* What a shock's bundles hang on beside its groups. */
  const hangsOn = (made, {budget, mass_g, spring_kind, adjusters}) => JSON.stringify([
    made.filter(one => !ofGroups(one)).map(one => [one.at, one.weight, one.points]), budget.must, mass_g.must, spring_kind, adjusters]);

  const waited = days => days > 0 ? rounded(days + 1, 2) / 100 : 0;

  function bestOf(shock, {kind, adjust}, wishes, fixed, points, sure) {
    const able = sure ? doubtless : possible;
    let best = null;
    /* A hair less than the least sum, lest its rounding be above that of the sum itself. */
    const beyond = (name, x) => over(name, wishes[name].must, x - 1e-9, x - 1e-9) > 0;
    shock.ways.forEach((way, number) => {
      const found = prospects(way, able);
      if (!found || beyond("budget", found.priceEnd[0]) || beyond("mass_g", found.massEnd[0])) return;
      const hopeless = (t, k) => {
        if (beyond("budget", (sure ? t.priceHigh : t.priceLow) + found.priceEnd[k])
          || beyond("mass_g", (sure ? t.massHigh : t.massLow) + found.massEnd[k])) return true;
        if (best === null) return false;
        const own = fixed + t.micro + found.own[k];
        return own + points.most < best.micro || own
          + points(rounded(t.price + found.price[k] - 1e-9, 2), rounded(t.mass + found.mass[k] - 1e-9, 0),
            waited(t.days), rounded(t.workshop, 0), 0) < best.micro;
      };
      walk(way, found, hopeless, t => leaf(way, number, t));
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
        sure, way: number, rows: t.rows.slice(), groups: way.groups, bits: [t.a, t.b, t.c],
        joint: code, asks: musts(dear, heavy, t.late, t.far, kind, adjust)});
    }
  }

  /* By wish what its must says: 0 kept, 1 broken perhaps, 2 for certain; and the wishes of one of these. */
  const musts = (budget, mass_g, days, travel_mm, spring_kind, adjusters) =>
    ({budget, mass_g, days, travel_mm, spring_kind, adjusters});
  const wishesOf = (said, how) => Object.keys(said).filter(name => said[name] === how);

  /* Why the wishes turn a shock down: the completion that breaks fewest of them, then the cheapest. */
  function nearest(shock, {kind, adjust}, wishes) {
    let least = null, found = null;
    const hopeless = (t, k) => {
      if (!least) return false;
      const count = (t.late === 2) + (t.far === 2) + (kind === 2) + (adjust === 2);
      return count > least.count || (count === least.count && t.priceLow + found.priceEnd[k] - 1e-9 >= least.price);
    };
    for (const way of shock.ways) walk(way, found = prospects(way, any), hopeless, t => {
      const dear = over("budget", wishes.budget.must, t.priceLow, t.priceHigh);
      const heavy = over("mass_g", wishes.mass_g.must, t.massLow, t.massHigh);
      const count = (dear === 2) + (heavy === 2) + (t.late === 2) + (t.far === 2) + (kind === 2)
        + (adjust === 2);
      if (least && (count > least.count || (count === least.count && t.priceLow >= least.price))) return;
      const at = way.groups.findIndex(group => group.travel);
      least = {count, price: t.priceLow, mass: t.massLow, days: t.days > 0 ? t.days + 1 : 0,
        travel: at < 0 ? null : way.groups[at].travel[0][t.rows[at]],
        broken: wishesOf(musts(dear, heavy, t.late, t.far, kind, adjust), 2)};
    });
    return least;
  }

  /* Every criterion's share of a bundle's points. */
  function scores(shock, found, made, wishes) {
    return made.map(one => {
      const cell = column => {
        const home = found.groups.findIndex(group => column(group));
        return column(found.groups[home])[found.rows[home]];
      };
      const value = one.how === "row" ? cell(group => group.values?.[one.at]) : valueAt(one.points,
        one.fact === "travel_mm" ? cell(group => group.travel?.[0])
          : one.fact.endsWith("_met") ? shockQuantity(one.fact, shock, wishes) : found[one.fact]);
      return {name: one.name, weight: one.weight, value,
        points: share(one.weight, value) / 1e6};
    });
  }

  const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

  /* An open shock looked at along each fact that nobody measured: if every value of the fact lets
     it in it fits, if none does it is ruled out. */
  function settled(shock, wishes, key) {
    for (const look of shock.looks()) {
      const found = Looks.settles(look, shock, wishes, key);
      if (found) return found === "fits" ? WAITS : found;
    }
    return "open";
  }

  /* The same, kept while the musts stay as they are. */
  function lookedAt(shock, wishes, musts, key) {
    if (shock.seen !== musts) shock.found = settled(shock, wishes, key);
    shock.seen = musts;
    return shock.found;
  }

  /* The whole answer: counts, the list in order, and what the moved wishes alone turn down. While
     the wishes are those asked, states are those the program found. */
  function answer(data, wishes, weights) {
    const made = counting(data, wishes, weights);
    const list = [], out = [], points = totalPoints(made), asAsked = same(wishes, data.wishes);
    const looksKey = Looks.keyOf(wishes);
    const mustsKey = JSON.stringify(Object.values(wishes).map(one => one.must));
    const move = weigh(data, made, wishes), hangs = hangsOn(made, wishes);
    for (const shock of data.shocks) {
      const found = judgedOnce(shock, made, wishes, points, hangs, move), {best} = found;
      const state = !best ? "ruled out" : best.sure ? "fits"
        : asAsked ? shock.asked : lookedAt(shock, wishes, mustsKey, looksKey);
      if (state === "ruled out") {
        found.settled = best !== null;
        out.push(found);
      } else {
        best.shock = shock;
        best.state = state;
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
