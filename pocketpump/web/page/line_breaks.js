// Where a line of text may end: Flutter asks the browser by a call that browsers mean to drop. This
// stands in its place, by Unicode's rules (UAX #14, whose numbers are given) for the scripts that
// people write today.
(() => {
  if (!Intl.v8BreakIterator || !Intl.Segmenter) return;

  // The first row that a letter fits tells its class; a letter of none is "AL".
  const CLASSES = Object.entries({
    BK: /[\v\f\u2028\u2029]/u, CR: /\r/u, LF: /\n/u, NL: /\u0085/u, SP: / /u, ZW: /\u200B/u,
    WJ: /[\u2060\uFEFF]/u, ZWJ: /\u200D/u,
    GL: /[\u00A0\u034F\u035C-\u0362\u0F08\u0F0C\u0F12\u180E\u2007\u2011\u202F]/u,
    RI: /\p{RI}/u, EM: /\p{EMod}/u, EB: /\p{EBase}/u,
    HY: /-/u, HH: /[\u058A\u05BE\u1400\u2010\u2012\u2013]/u,
    BA: /[\t|\u00AD\u0964\u0965\u0E5A\u0E5B\u1680\u2000-\u2006\u2008-\u200A\u2027\u2056\u2058-\u205B\u205D-\u205F\u2E17\u3000]/u,
    BB: /[\u00B4\u02C8\u02CC\u02DF\u1FFD]/u, B2: /[\u2014\u2E3A\u2E3B]/u,
    CP: /[)\]]/u, SY: /\//u, CB: /\uFFFC/u,
    EX: /[!?\u05C6\u061B\u061D-\u061F\u06D4\u2762\u2763\uFE15\uFE16\uFE56\uFE57\uFF01\uFF1F]/u,
    IS: /[,.:;\u037E\u0589\u060C\u060D\u07F8\u2044\uFE10\uFE13\uFE14]/u,
    IN: /[\u2024-\u2026\u22EF\uFE19]/u,
    QU: /["'\u275B-\u2760\p{Pi}\p{Pf}]/u,
    OP: /[\p{Ps}\u00A1\u00BF]/u,
    CL: /[\p{Pe}\u3001\u3002\uFE11\uFE12\uFE50\uFE52\uFF0C\uFF0E\uFF61\uFF64]/u,
    NS: /[\u17D6\u203C\u203D\u2047-\u2049\u3005\u301C\u303B\u303C\u309B-\u309E\u30A0\u30FB\u30FD\u30FE\uFE54\uFE55\uFF1A\uFF1B\uFF65\uFF9E\uFF9F]/u,
    PO: /[%\u00A2\u00B0\u0609-\u060B\u066A\u2030-\u2037\u2057\u20A7\u20B6\u20BB\u20BE\u20C0\u2103\u2109\uFDFC\uFE6A\uFF05\uFFE0]/u,
    PR: /[+\\\u00B1\u2116\u2212\u2213\p{Sc}]/u,
    NU: /[\u066B\u066C\p{Nd}]/u,
    AL: /[\u0600-\u0605\u06DD\u070F\u0890\u0891\u08E2\u2061-\u2064]/u, CM: /[\u3035\p{M}\p{Cc}\p{Cf}]/u,
    JL: /[\u1100-\u115F\uA960-\uA97C]/u, JV: /[\u1160-\u11A7\uD7B0-\uD7C6]/u,
    JT: /[\u11A8-\u11FF\uD7CB-\uD7FB]/u, H3: /[\uAC00-\uD7A3]/u,
    SA: /[\p{Script=Thai}\p{Script=Lao}\p{Script=Khmer}\p{Script=Myanmar}]/u,
    ID: /[\u2E80-\u2FFF\u3003-\u33FF\u3400-\u4DBF\u4E00-\uA4CF\uF900-\uFAFF\uFE30-\uFE6F\uFF00-\uFFDC\uFFE2-\uFFE6\u231A-\u231B\u23F0-\u23F3\u2600-\u2603\u2614-\u2615\u2618\u261A-\u261F\u2639-\u263B\u2668\u267F\u26BD-\u26C8\u26CD\u26CF-\u26D1\u26D3-\u26D4\u26D8-\u26D9\u26DC\u26DF-\u26E1\u26EA\u26F1-\u26F5\u26F7-\u26FA\u26FD-\u2704\u2708-\u270D\u2764\u{1F000}-\u{1F0FF}\u{1F1AE}-\u{1F39B}\u{1F39E}-\u{1F4FF}\u{1F507}-\u{1F6FF}\u{1F7D5}-\u{1F7FF}\u{1F90C}-\u{1FAFF}\p{Ideographic}]/u,
  });
  const WIDE = /[\u1100-\u115F\u2329\u232A\u2E80-\u303E\u3041-\uA4CF\uA960-\uA97C\uAC00-\uD7A3\uF900-\uFAFF\uFE10-\uFE19\uFE30-\uFE6F\uFF01-\uFFDC\uFFE0-\uFFE6\p{EPres}\p{Ideographic}]/u;
  const known = new Map();
  const words = new Intl.Segmenter([], { granularity: "word" });

  function about(letter) {
    let found = known.get(letter);
    if (!found) {
      let kind = CLASSES.find(([, letters]) => letters.test(letter))?.[0] ?? "AL";
      if (kind === "H3" && letter.normalize("NFD").length === 2) kind = "H2";
      if (kind === "AL" && /\p{Script=Hebrew}/u.test(letter)) kind = "HL";
      found = {
        kind,
        wide: kind !== "RI" && WIDE.test(letter),
        opens: kind === "QU" && /\p{Pi}/u.test(letter),
        closes: kind === "QU" && /\p{Pf}/u.test(letter),
      };
      known.set(letter, found);
    }
    return found;
  }

  const kinds = (names) => new Set(names.split(" "));
  const HARD = kinds("BK CR LF NL");
  const MARK = kinds("CM ZWJ");
  const NO_MARK = kinds("BK CR LF NL SP ZW");
  const BEFORE_QUOTE = kinds("BK CR LF NL OP QU GL SP ZW");
  const AFTER_QUOTE = kinds("SP GL WJ CL QU CP EX IS SY BK CR LF NL ZW");
  const BEFORE_HYPHEN = kinds("BK CR LF NL SP ZW CB GL");
  const LETTER = kinds("AL HL SA");
  const PICTURE = kinds("ID EB EM");
  const HANGUL = kinds("JL JV JT H2 H3");
  const is = (one, names) => one !== undefined && names.has(one.kind);

  /** Tell where the lines of ``text`` may end, its own end included. */
  function lineBreaks(text) {
    const ends = [];
    let wordEnds = null;
    let at = 0;
    const aWordEnds = () => {
      wordEnds ??= new Set(Array.from(words.segment(text), ({ index }) => index));
      return wordEnds.has(at);
    };
    const letters = [...text];
    const all = letters.map(about);
    // What stands before the place asked about: marks count as the letter they are on (LB9).
    const past = [];
    let afterJoiner = false;
    let flags = 0;
    all.forEach((one, index) => {
      const mark = MARK.has(one.kind);
      const before = past.at(-1);
      if (!(mark && before && !NO_MARK.has(before.kind))) {
        const b = mark ? { ...one, kind: "AL" } : one; // LB10
        if (before && mayEnd({ past, b, all, index, afterJoiner, flags, aWordEnds })) ends.push(at);
        past.push(b);
        flags = b.kind === "RI" ? flags + 1 : 0;
      }
      afterJoiner = one.kind === "ZWJ";
      at += letters[index].length;
    });
    if (text) ends.push(text.length);
    return ends;
  }

  function following(all, index) {
    const found = [];
    for (let at = index + 1; at < all.length && found.length < 2; at += 1) {
      if (!MARK.has(all[at].kind)) found.push(all[at]);
    }
    return found;
  }

  /** Tell whether a line may end between what is ``past`` and ``b``. */
  function mayEnd({ past, b, all, index, afterJoiner, flags, aWordEnds }) {
    const a = past.at(-1);
    const { kind } = b;
    if (a.kind === "CR") return kind !== "LF"; // LB4, LB5
    if (is(a, HARD)) return true;
    if (is(b, HARD) || kind === "SP" || kind === "ZW") return false; // LB6, LB7
    let last = past.length - 1;
    while (last > 0 && past[last].kind === "SP") last -= 1;
    const c = past[last]; // the last before any spaces
    if (c.kind === "ZW") return true; // LB8
    if (afterJoiner) return false; // LB8a
    if (kind === "WJ" || a.kind === "WJ" || a.kind === "GL") return false; // LB11, LB12
    const spaced = a.kind === "SP";
    if (kind === "GL" && !spaced && !/BA|HY|HH/.test(a.kind)) return false; // LB12a
    if (/^(CL|CP|EX|SY)$/.test(kind)) return false; // LB13
    if (c.kind === "OP") return false; // LB14
    if (c.opens && (last === 0 || is(past[last - 1], BEFORE_QUOTE))) return false; // LB15a
    const [next, afterNext] = following(all, index);
    if (b.closes && (!next || is(next, AFTER_QUOTE))) return false; // LB15b
    if (kind === "IS") return spaced && next?.kind === "NU"; // LB15c, LB15d
    if (kind === "NS" && /^C[LP]$/.test(c.kind)) return false; // LB16
    if (kind === "B2" && c.kind === "B2") return false; // LB17
    if (spaced) return true; // LB18
    const second = past.at(-2);
    if (kind === "QU" && (!b.opens || !a.wide || !next?.wide)) return false; // LB19, LB19a
    if (a.kind === "QU" && (!a.closes || !b.wide || !second?.wide)) return false;
    if (kind === "CB" || a.kind === "CB") return true; // LB20
    const hyphen = a.kind === "HY" || a.kind === "HH";
    if (hyphen && is(b, LETTER) && (!second || is(second, BEFORE_HYPHEN))) return false; // LB20a
    if (/^(BA|HH|HY|NS)$/.test(kind) || a.kind === "BB") return false; // LB21
    if (hyphen && second?.kind === "HL" && kind !== "HL") return false; // LB21a
    if (a.kind === "SY" && kind === "HL") return false; // LB21b
    if (kind === "IN") return false; // LB22
    if (a.kind === "SA" && kind === "SA") return aWordEnds();
    const afterLetter = is(a, LETTER);
    const letter = is(b, LETTER);
    if ((afterLetter && kind === "NU") || (a.kind === "NU" && letter)) return false; // LB23
    const sign = kind === "PR" || kind === "PO";
    const afterSign = a.kind === "PR" || a.kind === "PO";
    if (a.kind === "PR" && (is(b, PICTURE) || is(b, HANGUL))) return false; // LB23a, LB27
    if (kind === "PO" && (is(a, PICTURE) || is(a, HANGUL))) return false;
    if ((afterSign && letter) || (afterLetter && sign)) return false; // LB24
    if (sign || kind === "NU") { // LB25
      let start = past.length - 1;
      if (sign && /^C[LP]$/.test(past[start].kind)) start -= 1;
      while (start >= 0 && /^(SY|IS)$/.test(past[start].kind)) start -= 1;
      if (past[start]?.kind === "NU") return false;
    }
    if (kind === "NU" && (afterSign || a.kind === "HY" || a.kind === "IS")) return false;
    if (kind === "OP" && afterSign) {
      if ((next?.kind === "IS" ? afterNext : next)?.kind === "NU") return false;
    }
    if (a.kind === "JL" && /^(JL|JV|H2|H3)$/.test(kind)) return false; // LB26
    if ((a.kind === "JV" || a.kind === "H2") && /^J[VT]$/.test(kind)) return false;
    if ((a.kind === "JT" || a.kind === "H3") && kind === "JT") return false;
    if (letter && (afterLetter || a.kind === "IS")) return false; // LB28, LB29
    if (kind === "OP" && !b.wide && (afterLetter || a.kind === "NU")) return false; // LB30
    if (a.kind === "CP" && !a.wide && (letter || kind === "NU")) return false;
    if (kind === "RI" && a.kind === "RI") return flags % 2 === 0; // LB30a
    return !(kind === "EM" && a.kind === "EB"); // LB30b, LB31
  }

  // What Flutter asks of it, and no more.
  Intl.v8BreakIterator = class {
    adoptText(text) {
      this.ends = lineBreaks(text);
      this.first();
    }

    first() {
      this.at = -1;
      return 0;
    }

    next() {
      this.at += 1;
      return this.ends[this.at] ?? -1;
    }

    current() {
      return this.ends[this.at] ?? 0;
    }
  };
})();
