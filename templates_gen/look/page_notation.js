// Figures as the boat's sheets write them: lengths in the units of the hull file, depths in mm or in 64ths of an inch.
const INCH = 25.4;

// How many steps make a value, halves away from zero.
function stepsOf(value, step) {
  const steps = Math.floor(Math.abs(value) / step + 0.5 + 1e-9);
  return value < 0 ? -steps : steps;
}

// Inches and a fraction in its lowest terms, from a count of so many parts of an inch.
function inchesOf(count, parts) {
  const whole = Math.floor(Math.abs(count) / parts);
  let rest = Math.abs(count) % parts, part = parts;
  while (rest && rest % 2 === 0) [rest, part] = [rest / 2, part / 2];
  const sign = count < 0 ? "-" : "", fraction = rest ? `${rest}/${part}` : "";
  return sign + (whole && rest ? `${whole} ${fraction}` : fraction || String(whole));
}

const notation = {
  // A length in mm without its unit.
  length(mm) {
    const units = data.notation.units;
    if (units === "mm") {
      const halves = stepsOf(mm, 0.5);
      return halves % 2 ? (halves / 2).toFixed(1) : String(halves / 2);
    }
    if (units === "in") return inchesOf(stepsOf(mm, INCH / 32), 32);
    const sixteenths = stepsOf(mm, INCH / 16), all = Math.abs(sixteenths), rest = all % 192;
    const text = `${Math.floor(all / 192)}-${Math.floor(rest / 16)}-${Math.floor((rest % 16) / 2)}${rest % 2 ? "+" : ""}`;
    return sixteenths < 0 ? `minus ${text}` : text;
  },

  // A length in mm with its unit.
  spoken(mm) {
    return data.notation.units === "ft-in-8" ? this.length(mm) : `${this.length(mm)} ${data.notation.units}`;
  },

  // A depth in mm under a heading that names the unit.
  depth(mm) {
    return data.notation.depths === "mm" ? (stepsOf(mm, 0.1) / 10).toFixed(1) : String(stepsOf(mm, INCH / 64));
  },

  // A distance along the boat, in words: where it is from the nearest station.
  place(x) {
    const near = data.stations.reduce((best, one) => (Math.abs(one.x - x) < Math.abs(best.x - x) ? one : best));
    const off = x - near.x;
    if (Math.abs(off) < 0.05) return near.name;
    return `${this.spoken(Math.abs(off))} ${off > 0 ? "aft" : "forward"} of ${near.name}`;
  },
};
