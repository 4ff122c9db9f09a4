"use strict";
/* A way's groups of choices under the wishes and weights as they stand: each entry's own points,
   what it breaks, and which entries some bundle may be best with. */
const Groups = (() => {
  const {valueAt, share} = Values, {daysBroken, travelBroken} = Musts;

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
      travel: group.travel && ends(group.travel), ordered: group.ordered && ends(group.ordered),
      nodes: group.nodes?.map(node => Object.fromEntries(Object.entries(node)
        .map(([what, column]) => [what, column && ends(column)]))),
      workshop: wide(group.workshop ?? 0), doubt: group.doubt.map(wide), touched: wide(group.touched),
    };
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

  return {opened, bitCount, doubtless, possible, any, needless, weighed, keysOf, prospectsOf};
})();
