// Lets a running clock be seen to run. The truth is the row it was started with.

const hours = (minutes) => {
  const whole = Math.floor(minutes / 60);
  const rest = minutes % 60;
  if (!whole) return `${rest} min`;
  return rest ? `${whole} h ${String(rest).padStart(2, "0")}` : `${whole} h`;
};

const show = () => {
  for (const clock of document.querySelectorAll("[data-clock]")) {
    const ran = Math.floor((Date.now() / 1000 - Number(clock.dataset.clock)) / 60);
    if (ran >= 0) clock.textContent = hours(ran);
  }
};

setInterval(show, 20000);
document.addEventListener("visibilitychange", show);
