"use strict";
/* Numbers as the program has them: rounding to the nearest, exact halves to even; value functions;
   the criteria that count. */
const Values = (() => {
  function halfEven(y) {
    const below = Math.floor(y), rest = y - below;
    if (rest !== 0.5) return rest > 0.5 ? below + 1 : below;
    return below % 2 === 0 ? below : below + 1;
  }

  const SCALE = [1, 10, 100, 1e3, 1e4, 1e5, 1e6];

  /* x to so many decimals, as a whole number of them; only an exact half is one. */
  function rounded(x, decimals) {
    const scale = SCALE[decimals], y = x * scale, below = Math.floor(y), rest = y - below;
    if (rest > 0.501) return below + 1;
    if (rest < 0.499) return below;
    if (Number.isInteger(x * 2 ** (decimals + 1))) return halfEven(y);
    return Math.round(Number(x.toFixed(decimals)) * scale);
  }

  function valueAt(points, x) {
    const last = points.length - 1;
    let v;
    if (x <= points[0][0]) v = points[0][1];
    else if (x >= points[last][0]) v = points[last][1];
    else {
      let j = 0;
      while (points[j + 1][0] <= x) j++;
      const [x0, v0] = points[j], [x1, v1] = points[j + 1];
      v = x === x0 ? v0 : ((v1 - v0) / (x1 - x0)) * (x - x0) + v0;
    }
    return halfEven(v * 1e6) / 1e6;
  }

  /* Value functions that follow a wish: 1 at nothing, 0.6 at the aim, 0 at the must. */
  function falling(wish, first, second) {
    const aim = wish.prefer ?? wish.must;
    if (aim === null) return [[first, 1], [second, 0]];
    const at = Math.max(aim, 1e-6);
    const most = wish.must !== null && wish.must > at ? wish.must : 1.5 * at;
    return [[0, 1], [at, 0.6], [most, 0]];
  }

  function band([low, high], fade) {
    const a = low ?? 0, b = high ?? 1e4;
    const inside = b > a ? [[a, 1], [b, 1]] : [[a, 1]];
    return [[a - fade, 0], ...inside, [b + fade, 0]];
  }

  const YES_NO = [[0, 0], [1, 1]];
  const aimOf = wish => wish.prefer ?? wish.must;

  function pointsOf(criterion, wishes) {
    switch (criterion.wish) {
      case "budget": return falling(wishes.budget, 0, 1200);
      case "mass_g": return falling(wishes.mass_g, 200, 1400);
      case "days": return falling(wishes.days, 0, 21);
      case "travel_mm": return aimOf(wishes.travel_mm) && band(aimOf(wishes.travel_mm), 10);
      default: return aimOf(wishes[criterion.wish]) === null ? null : YES_NO;
    }
  }

  /* The criteria that count, each with its value function. */
  function counting(data, wishes, weights) {
    const out = [];
    for (const one of data.criteria) {
      const weight = weights[one.name];
      const points = one.how === "moved" ? pointsOf(one, wishes) : one.points;
      if (weight > 0 && points) out.push({...one, weight, points});
    }
    return out;
  }

  /* Points of one criterion, in whole millionths: their sums are exact. */
  const share = (weight, value) => rounded(weight * value, 6);

  return {rounded, valueAt, aimOf, counting, share};
})();
