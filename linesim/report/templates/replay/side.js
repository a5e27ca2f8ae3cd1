// What one side of the page gives to the hand that moves it: drawings, what is told, and where it stands.

/** Return how long sections have stood by a moment, for what begins on the line itself. */
const lostAt = (t) => STOPS.reduce((sum, stop) => sum + (stop.passedOn ? 0 : Math.max(0, Math.min(stop.end, t) - Math.max(0, stop.begin))), 0);

function tellCount(now) {
  const made = madeAt(now), ahead = made - Math.round(plannedAt(now));
  const against = ahead ? `${Math.abs(ahead)} ${ahead > 0 ? "more than" : "fewer than"}` : "as many as";
  id("count").textContent = `${made} ${made === 1 ? "job" : "jobs"} made, ${against} ${side.planned.words} by now; ${(lostAt(now) / 60000).toFixed(1)} min lost to stops`;
}

return {
  side, id, LINE, STOPS, DUTY, JOBS, BELTS, INSTANTS, MARKS, DRIFTING, instantsOf, isAt, drawRuler, drawStrip, drawPaths, drawDrift,
  tellMoment, tellStations, tellPeople, tellJob, tellCount,
};
