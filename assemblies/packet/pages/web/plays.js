// Moves by their samples: where everything is at a time, evenly between samples. Nothing of a move is worked out here.
const plays = (() => {
  // Between which samples a time lies, and how far.
  function between(times, time) {
    let k = 0;
    for (let step = 1 << 11; step; step >>= 1) if (k + step < times.length - 1 && times[k + step] <= time) k += step;
    const next = Math.min(k + 1, times.length - 1), span = times[next] - times[k];
    return { k, next, share: span > 0 ? Math.min(1, Math.max(0, (time - times[k]) / span)) : 0 };
  }

  // Place along its way (m), angle (rad), level (m), litres, heights of waves (m), and the angle of each spin (rad).
  function pose(play, time) {
    const { k, next, share } = between(play.times, time);
    const at = (list) => (list.length > 1 ? list[k] + share * (list[next] - list[k]) : list[0]);
    const wave = (w, row) => play.ripple.heights[row * play.ripple.waves + w];
    return {
      place: at(play.places), angle: at(play.angles), level: at(play.levels), litres: at(play.litres),
      heights: play.ripple ? Array.from({ length: play.ripple.waves }, (_, w) => wave(w, k) + share * (wave(w, next) - wave(w, k))) : [],
      spins: play.spins.map((spin) => spin.rate * time),
    };
  }

  const last = (play) => play.times[play.times.length - 1];

  // What the clock says.
  function words(play, time, unit) {
    const now = pose(play, time), said = [];
    if (play.times.length > 1) said.push(`${time.toFixed(2)} s of ${last(play).toFixed(2)} s`);
    if (play.kind === 'slide') said.push(unit === 'in' ? `${(now.place / 0.0254).toFixed(2)} in on its way` : `${(now.place * 1000).toFixed(0)} mm on its way`);
    if (play.kind === 'turn' || play.kind === 'stand') said.push(`leaned ${((now.angle * 180) / Math.PI).toFixed(1)}°`);
    if (play.kind === 'spin') said.push(`${(now.angle / (2 * Math.PI)).toFixed(1)} turns`);
    if (now.litres !== undefined && play.kind !== 'slide') said.push(`${now.litres.toFixed(2)} L in it${play.kind === 'turn' ? ' by the schedule' : ''}`);
    for (const [n, spin] of play.spins.entries()) said.push(`${spin.names[0]} ${(Math.abs(now.spins[n]) / (2 * Math.PI)).toFixed(2)} turns`);
    return said.join(', ');
  }

  return { pose, last, words };
})();
