"use strict";
/* The groups of entries that bundles choose from, under the wishes and weights as they stand: each
   entry's own points, what it breaks, and which entries some bundle may be best with. A group that
   many shocks share is one object. */
const Groups = (() => {
  const {valueAt, share} = Values, {daysBroken, travelBroken} = Musts;

  /* The data's groups, columns in place of their numbers. */
  function opened({columns, fields, groups}) {
    const whole = columns.map(one => !one.includes(null));
    const filled = (k, x) => whole[k] ? columns[k] : columns[k].map(one => one ?? x);
    const three = told => typeof told === "number" ? [told, told, told] : told;
    const ends = told => {
      const [shown, low, high] = three(told);
      return [columns[shown], filled(low, -Infinity), filled(high, Infinity)];
    };
    const each = (some, make) => some && Object.fromEntries(Object.entries(some).map(([k, one]) => [k, make(one)]));
    const column = k => k === null ? null : columns[k];
    return groups.map(row => {
      const told = Object.fromEntries(fields.map((name, k) => [name, row[k] ?? null]));
      return {
        size: columns[three(told.price)[0]].length,
        price: ends(told.price), mass: ends(told.mass), days: ends(told.days),
        travel: told.travel === null ? null : ends(told.travel),
        ordered: told.ordered === null ? null : ends(told.ordered),
        nodes: each(told.nodes, some => some.map(ends)),
        doubt: told.doubt.map(column), touched: column(told.touched), values: each(told.values, column),
        workshop: column(told.workshop), figures: each(told.figures, one => three(one).map(column)),
        lines: column(told.lines), cautions: column(told.cautions), told: told.told?.map(column),
        lacks: column(told.lacks), known: column(told.known), sizes: column(told.sizes),
        /* As the wishes stand. All groups have the same fields, which is what makes reading them fast. */
        own: null, counting: null, late: null, far: null, rivals: null,
        doubtless: null, possible: null, any: null, looked: null, parts: null, move: 0,
      };
    });
  }

  function bitCount(x) {
    let n = 0;
    for (; x; x &= x - 1) n++;
    return n;
  }

  /* A column of zeros of each size. */
  const zeros = [];
  const none = size => zeros[size] ??= new Array(size).fill(0);

  /* What is made of columns, once for all groups that share them. */
  function ofColumns(make) {
    const seen = new Map();
    return column => {
      if (!seen.has(column)) seen.set(column, make(column));
      return seen.get(column);
    };
  }

  /* Of both ends of a quantity, cell by cell; where all are 0 it is the column of zeros. */
  function ofEnds(judge) {
    const from = ofColumns(low => ofColumns(high => {
      const made = low.map((x, r) => judge(x, high[r]));
      return made.some(x => x) ? made : none(low.length);
    }));
    return (low, high) => from(low)(high);
  }

  /* Values and points that a criterion gives; kept while its weight and value function stay. */
  function giving(one, kept) {
    const row = one.how === "row", mark = JSON.stringify([one.weight, row || one.points]);
    if (kept.get(one.name)?.mark !== mark)
      kept.set(one.name, {mark, at: one.at, row, of: ofColumns(column => {
        const values = row ? column : column.map(x => valueAt(one.points, x));
        return {values, points: values.map(value => share(one.weight, value))};
      })});
    return kept.get(one.name);
  }

  /* Each entry's own points, and the columns of values that they come from. */
  function give(group, given) {
    const some = [];
    for (const one of given) {
      const column = one.row ? group.values?.[one.at] : group.travel?.[0];
      if (column) some.push(one.of(column));
    }
    group.counting = some.map(one => one.values);
    const own = some.length ? some[0].points.slice() : none(group.size);
    for (let k = 1; k < some.length; k++)
      for (let r = 0; r < own.length; r++) own[r] += some[k].points[r];
    group.own = own;
  }

  const alike = (a, b) => a === b || (a !== null && a.length === b.length && a.every((x, k) => x === b[k]));

  /* Gives all groups what they hang on of wishes and weights, and those for which it is other than
     before the number of the move. Returns that number. */
  function weigh(data, made, wishes) {
    const now = data.weighed ??= {given: new Map(), move: 0}, given = made.filter(ofGroups).map(one => giving(one, now.given));
    const {days, travel_mm: travel} = wishes, must = JSON.stringify([days.must, travel.must]);
    const weights = JSON.stringify(given.map(one => [one.at, one.mark]));
    if (now.weights === weights && now.must === must) return now.move;
    now.move++;
    const late = ofEnds((low, high) => daysBroken(days, low, high)), far = ofEnds((low, high) => travelBroken(travel, low, high));
    for (const group of data.chosen) {
      const {own, counting, late: wait, far: off} = group;
      if (now.weights !== weights) give(group, given);
      if (now.must !== must) {
        group.late = days.must === null ? none(group.size) : late(group.days[1], group.days[2]);
        group.far = travel.must === null || !group.travel ? none(group.size) : far(group.travel[1], group.travel[2]);
      }
      if (alike(own, group.own) && alike(wait, group.late) && alike(off, group.far)
        && counting.length === group.counting.length && counting.every((column, k) => alike(column, group.counting[k]))) continue;
      group.doubtless = group.possible = group.any = null;
      group.move = now.move;
    }
    Object.assign(now, {weights, must});
    return now.move;
  }

  /* Whether a criterion gives points to entries, not to the whole bundle. */
  const ofGroups = one => one.how === "row" || (one.how === "moved" && one.fact === "travel_mm");

  const doubtless = ({doubt, late, far}, r) => !doubt[0][r] && !doubt[1][r] && !doubt[2][r] && !late[r] && !far[r];
  const any = () => true;
  const possible = ({late, far}, r) => late[r] < 2 && far[r] < 2;

  /* Everything in which an entry may be better than another, as numbers to have more of. */
  function worth({doubt, late, far, counting, price, mass, days, workshop}, r) {
    const doubts = bitCount(doubt[0][r]) + bitCount(doubt[1][r]) + bitCount(doubt[2][r]) + (late[r] > 0) + (far[r] > 0);
    return [...counting.map(column => column[r]), -price[0][r], -mass[0][r], -days[0][r], -workshop[r], -doubts];
  }

  /* Whether another entry makes this one needless: as good or better in all that counts. */
  function needless(group, r, sure) {
    const able = sure ? doubtless : possible;
    if (group.touched[r]) return false;
    const mine = worth(group, r);
    for (let q = 0; q < group.size; q++) {
      if (q === r || group.touched[q] || !able(group, q)) continue;
      const other = worth(group, q);
      if (!mine.every((x, k) => x <= other[k])) continue;
      if (q < r || mine.some((x, k) => x < other[k])) return true;
    }
    return false;
  }

  /* By entry those that are as good in all that no wish and no weight can change; found once. */
  function rivals({size, price, mass, days, workshop, doubt, touched}) {
    const columns = [...new Set([...price, ...mass, days[0], workshop])].filter(one => one.some(x => x !== one[0]));
    const asGood = (q, r) => {
      for (const column of columns) if (!(column[q] <= column[r])) return false;
      return !((doubt[0][q] & ~doubt[0][r]) | (doubt[1][q] & ~doubt[1][r]) | (doubt[2][q] & ~doubt[2][r]));
    };
    return Array.from({length: size}, (_, r) => {
      const found = [];
      for (let q = 0; q < size && !touched[r]; q++) if (q !== r && !touched[q] && asGood(q, r)) found.push(q);
      return found;
    });
  }

  /* The entries that some bundle may be best with, the most points first: no other does better in
     every bundle, as good in all that counts, with more points or for less money. */
  function promising(group, able) {
    const {own, late, far, price: [price], size} = group, rows = [];
    for (let r = 0; r < size; r++) if (able(group, r)) rows.push(r);
    if (rows.length < 2) return rows;
    rows.sort((p, q) => own[q] - own[p] || price[p] - price[q]);
    if (able === any) return rows;
    const others = group.rivals ??= rivals(group), left = new Array(size).fill(false);
    const beaten = r => others[r].some(q => left[q] && late[q] <= late[r] && far[q] <= far[r]
      && (own[q] > own[r] || (own[q] === own[r] && price[q] <= price[r] - 0.02)));
    return rows.filter(r => left[r] = !beaten(r));
  }

  /* Those entries, the most points among them, and the least price and mass: shown, and at the end
     that a must is held to, the most they may be for a bundle that is sure. */
  function listed(group, able) {
    const rows = promising(group, able), end = able === doubtless ? 2 : 1, {price, mass, own} = group;
    const least = column => {
      let low = Infinity;
      for (const r of rows) if (column[r] < low) low = column[r];
      return low;
    };
    return {rows, own: rows.length ? own[rows[0]] : 0, price: least(price[0]), mass: least(mass[0]),
      priceEnd: least(price[end]), massEnd: least(mass[end])};
  }

  /* Of a way of mounting each group's entries, and what the groups from each on can add at best;
     null where some group has no entry. One object, filled anew for every way: a walk is over before
     the next begins, and thousands of shocks are walked for one move. */
  const best = {lists: [], own: [], price: [], mass: [], priceEnd: [], massEnd: []};
  const SUMS = ["own", "price", "mass", "priceEnd", "massEnd"];
  function prospects({groups}, able) {
    for (const sum of SUMS) best[sum][groups.length] = 0;
    for (let k = groups.length - 1; k >= 0; k--) {
      const one = groups[k][able.name] ??= listed(groups[k], able);
      if (!one.rows.length) return null;
      best.lists[k] = one.rows;
      best.own[k] = best.own[k + 1] + one.own;
      best.price[k] = best.price[k + 1] + one.price;
      best.mass[k] = best.mass[k + 1] + one.mass;
      best.priceEnd[k] = best.priceEnd[k + 1] + one.priceEnd;
      best.massEnd[k] = best.massEnd[k + 1] + one.massEnd;
    }
    return best;
  }

  return {opened, bitCount, doubtless, possible, any, needless, ofGroups, weigh, prospects};
})();
