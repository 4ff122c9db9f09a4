"use strict";
/* Numbers as people write them, in the program's own way: rounded as their unit deserves. */
const Numbers = (() => {
  const {rounded} = Values;
  const DECIMALS = {mm: 1, "%": 1, psi: 0, "N/mm": 1, money: 2};

  /* A number without trailing zeros, but money with both of its cents or none; never "-0". */
  function number(value, unit) {
    const digits = unit === "mm" && Math.abs(value) > 0 && Math.abs(value) < 0.95 ? 2 : DECIMALS[unit];
    const whole = rounded(Math.abs(value), digits);
    const text = (value < 0 && whole ? "-" : "") + (whole / 10 ** digits).toFixed(digits);
    if (!digits) return text;
    return unit === "money" ? text.replace(/\.00$/, "") : text.replace(/\.?0+$/, "");
  }

  /* "21.8 to 22.4", or one number where both round to the same. */
  function span(low, high, unit) {
    const a = number(low, unit), b = number(high, unit);
    return a === b ? a : `${a} to ${b}`;
  }

  return {number, span};
})();
