"use strict";
/* The page: wishes as controls, and the list and accounts that follow them. */
(() => {
  const {field} = Elements;
  const data = Engine.open(JSON.parse(field("data").textContent));
  const asked = () => ({
    wishes: structuredClone(data.wishes),
    weights: Object.fromEntries(data.criteria.map(one => [one.name, one.weight])),
  });
  const state = asked(), form = field("ask");
  const REST = 100;
  let pending = 0, later = 0;

  /* The list at once; what is turned down, below, when the wishes have come to rest for a moment, ms. */
  function recompute() {
    pending = 0;
    const answer = Engine.answer(data, state.wishes, state.weights);
    list.show(answer);
    clearTimeout(later);
    later = setTimeout(() => turned.account(answer), REST);
  }

  const moved = () => {
    if (!pending) pending = requestAnimationFrame(recompute);
  };
  const controls = Controls(data, state, moved), list = List(data, state), turned = Turned(data, Moved(data, state, list));

  field("reset").addEventListener("click", () => {
    Object.assign(state, asked());
    controls.draw(form);
    recompute();
  });
  form.addEventListener("submit", event => event.preventDefault());
  field("wishes").hidden = field("to-wishes").hidden = false;
  controls.draw(form);
  recompute();
})();
