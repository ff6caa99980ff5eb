// The clocks of a page: they count down, keep the screen awake while a short one runs, and ring at
// their end. Only while the page is open: what has no page rings nowhere, and the page says so.
(function () {
  "use strict";

  const SECOND = 1000;
  const BEEPS = 6;
  const seen = new Map(); // id and end of a clock -> whether it still ran when last looked at
  let sound = null;
  let lock = null;

  const clocks = () => Array.from(document.querySelectorAll("[data-until]"));
  const left = (clock) => Date.parse(clock.dataset.until) - Date.now();

  // 1 h 5 min, 12 min, 45 s: as the core says it.
  function words(time) {
    const seconds = Math.ceil(time / SECOND);
    if (seconds < 60) return seconds + " s";
    const minutes = Math.ceil(seconds / 60);
    const hours = Math.floor(minutes / 60);
    if (!hours) return minutes + " min";
    return hours + " h" + (minutes % 60 ? " " + (minutes % 60) + " min" : "");
  }

  function show(clock) {
    const time = left(clock);
    const timer = clock.querySelector("[data-counting]");
    const line = clock.querySelector("[data-over]");
    if (time > 0) put(timer, timer.dataset.counting.replace("#", words(time)));
    else {
      put(timer, "");
      put(line, line.dataset.over);
      clock.classList.add("clock-over");
    }
    return time;
  }

  // What the phone's own clock can take over: a calendar entry, as a file. Its lines end in CR LF.
  function offerCalendar(clock) {
    const button = clock.querySelector("[data-calendar]");
    if (!button || !button.hidden) return;
    button.hidden = false;
    button.addEventListener("click", () => {
      const text = button.dataset.calendar.replace(/\r?\n/g, "\r\n");
      const link = document.createElement("a");
      link.href = URL.createObjectURL(new Blob([text], { type: "text/calendar" }));
      link.download = button.dataset.file;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 10 * SECOND);
    });
  }

  function put(part, text) {
    if (part.textContent !== text) part.textContent = text;
  }

  function look() {
    let short = false;
    const onward = document.querySelector("[data-when-over]"); // of the card that waits for a clock
    for (const clock of clocks()) {
      const time = show(clock);
      if (onward && clock.matches(".clock-big")) onward.hidden = time > 0;
      offerCalendar(clock);
      const key = clock.id + clock.dataset.until;
      if (time <= 0 && seen.get(key)) {
        ring();
        onward?.click();
      }
      seen.set(key, time > 0);
      short = short || (time > 0 && clock.dataset.awake === "yes");
    }
    stayAwake(short).catch(() => {}); // a browser that cannot, or a battery that is low
  }

  // A browser lets a page sound once the person has touched it.
  function wakeSound() {
    const Sound = window.AudioContext || window.webkitAudioContext;
    if (!sound && Sound && clocks().length) sound = new Sound();
    if (sound && sound.state === "suspended") sound.resume().catch(() => {});
  }

  function ring() {
    if (navigator.vibrate) navigator.vibrate([400, 200, 400, 200, 400]);
    wakeSound();
    if (!sound) return;
    for (let beep = 0; beep < BEEPS; beep += 1) {
      const tone = sound.createOscillator();
      const at = sound.currentTime + beep * 0.5;
      tone.frequency.value = beep % 2 ? 660 : 880;
      tone.connect(sound.destination);
      tone.start(at);
      tone.stop(at + 0.3);
    }
  }

  async function stayAwake(short) {
    if (!navigator.wakeLock || document.visibilityState !== "visible") return;
    if (short && !lock) {
      lock = navigator.wakeLock.request("screen");
      const held = await lock.catch(() => null);
      if (held) held.addEventListener("release", () => { lock = null; });
      else lock = null;
    } else if (!short && lock) {
      const held = await lock;
      if (held) await held.release();
    }
  }

  document.addEventListener("pointerdown", wakeSound);
  document.addEventListener("keydown", wakeSound);
  document.addEventListener("visibilitychange", look);
  document.addEventListener("htmx:afterSwap", look);
  setInterval(look, SECOND);
  look();
})();
