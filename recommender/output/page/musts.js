"use strict";
/* What the wishes' musts say of a quantity: 0 kept, 1 broken for some value of what is not known
   exactly, 2 broken for certain. And what a shock gives the wishes for adjusters and spring kind. */
const Musts = (() => {
  /* What each wish's margin may lack and still pass: the rules' own, told with the data. */
  const TOLERANCE = {};
  const tolerate = tolerances => Object.assign(TOLERANCE, tolerances);
  const ADJUSTERS = ["rebound", "low-speed compression", "high-speed compression", "lockout"];
  const KINDS = ["air", "coil"];
  const YES = 1;
  const {aimOf} = Values;

  function over(name, limit, low, high) {
    const most = limit + TOLERANCE[name];
    return limit === null ? 0 : low > most ? 2 : high > most ? 1 : 0;
  }

  function daysBroken(wish, low, high) {
    if (wish.must === null) return 0;
    const late = d => d > 0 && wish.must - d - 1 < -TOLERANCE.days;
    return late(low) ? 2 : late(high) ? 1 : 0;
  }

  function travelBroken(wish, low, high) {
    if (wish.must === null) return 0;
    const least = wish.must[0] ?? 0, most = wish.must[1] ?? 1e6;
    if (high - least < -TOLERANCE.travel_mm || most - low < -TOLERANCE.travel_mm) return 2;
    return low - least < -TOLERANCE.travel_mm || most - high < -TOLERANCE.travel_mm ? 1 : 0;
  }

  function kindBroken(wish, kind) {
    if (wish.must === null) return 0;
    return kind < 0 ? 1 : kind === KINDS.indexOf(wish.must) ? 0 : 2;
  }

  function adjustersBroken(wish, has) {
    let worst = 0;
    for (const name of wish.must ?? []) {
      const own = has[ADJUSTERS.indexOf(name)];
      worst = Math.max(worst, own < 0 ? 1 : own === YES ? 0 : 2);
    }
    return worst;
  }

  /* What a shock gives the criteria of adjusters and spring kind; unknown counts as the first word. */
  function shockQuantity(fact, shock, wishes) {
    if (fact === "spring_kind_met")
      return Math.max(shock.kind, 0) === KINDS.indexOf(aimOf(wishes.spring_kind)) ? 1 : 0;
    const aim = aimOf(wishes.adjusters) ?? [];
    const wanted = ADJUSTERS.map(name => aim.includes(name) ? 1 : 0);
    const met = wanted.reduce((sum, want, k) => sum + (shock.adjusters[k] === YES ? want : 0), 0);
    return met / Math.max(1, wanted.reduce((a, b) => a + b, 0));
  }

  return {tolerate, over, daysBroken, travelBroken, kindBroken, adjustersBroken, shockQuantity};
})();
