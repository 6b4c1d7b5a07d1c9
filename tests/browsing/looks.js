// What there is to see of a page. Every function gives sentences, one for each fault.
(() => {
  const ROUNDING = 0.5; // CSS pixels by which boxes may differ and nobody sees it
  const UNSEEN = new Set(["SCRIPT", "STYLE", "TEMPLATE", "NOSCRIPT", "TITLE", "title", "desc", "metadata"]);

  const style = (element) => getComputedStyle(element);

  function described(element) {
    const text = (element.textContent || "").trim().replace(/\s+/g, " ").slice(0, 40);
    const name = [...element.classList].map((each) => `.${each}`).join("");
    return `<${element.tagName.toLowerCase()}${name}> "${text}"`;
  }

  function* upwards(element) {
    for (let each = element; each && each !== document.documentElement; each = each.parentElement) yield each;
  }

  // What is kept for screen readers alone: a box of a pixel, or clipped away whole.
  function forReadersOnly(element) {
    for (const each of upwards(element)) {
      const box = each.getBoundingClientRect();
      const clips = style(each).overflowX !== "visible" && box.width <= 1.01 && box.height <= 1.01;
      if (clips || style(each).clipPath.startsWith("inset(50%")) return true;
    }
    return false;
  }

  function* texts() {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const element = walker.currentNode.parentElement;
      if (!walker.currentNode.data.trim() || [...upwards(element)].some((each) => UNSEEN.has(each.tagName))) continue;
      yield { text: walker.currentNode.data, node: walker.currentNode, element };
    }
  }

  // The boxes of all text that is painted, line by line.
  const memory = new Map();
  function lines() {
    if (memory.has("lines")) return memory.get("lines");
    const found = [];
    for (const { text, node, element } of texts()) {
      if (!element.checkVisibility({ visibilityProperty: true, opacityProperty: true }) || forReadersOnly(element)) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const box of range.getClientRects()) {
        if (box.width > 0 && box.height > 0) found.push({ text: text.trim().replace(/\s+/g, " "), element, box });
      }
    }
    memory.set("lines", found);
    return found;
  }

  function scroller(element) {
    for (const each of upwards(element.parentElement)) {
      if (/auto|scroll/.test(style(each).overflowX) && each.scrollWidth > each.clientWidth) return each;
    }
    return null;
  }

  function wide() {
    const root = document.documentElement;
    const found = [];
    if (root.scrollWidth > root.clientWidth) found.push(`the page is ${root.scrollWidth} px wide and shows ${root.clientWidth}`);
    const told = new Set();
    for (const element of document.body.querySelectorAll("*")) {
      if (element.ownerSVGElement || forReadersOnly(element)) continue;
      const box = element.getBoundingClientRect();
      if (!box.width || !box.height) continue;
      if (box.right <= root.clientWidth + ROUNDING && box.left >= -ROUNDING) continue;
      const within = scroller(element);
      if (within && within.hasAttribute("tabindex") && within.tabIndex >= 0) continue;
      const of = within || element;
      if ([...upwards(of)].some((each) => told.has(each))) continue;
      told.add(of);
      found.push(within ? `${described(within)} scrolls sideways and keys do not reach it`
        : `${described(element)} reaches from ${box.left.toFixed(1)} to ${box.right.toFixed(1)} of ${root.clientWidth} px`);
    }
    return found;
  }

  // Text that something around it cuts off. On paper nothing can be scrolled, so what scrolls cuts too.
  function cut(onPaper) {
    const clipping = onPaper ? /hidden|clip|auto|scroll/ : /hidden|clip/;
    const found = new Set();
    for (const { text, element, box } of lines()) {
      // The box of a line is that of the font, of which the letters take less.
      const air = box.height * 0.2;
      for (const each of upwards(element)) {
        const { overflowX, overflowY } = style(each);
        if (!clipping.test(overflowX) && !clipping.test(overflowY)) continue;
        if (style(each).display === "inline" && !(each instanceof SVGElement)) continue;
        if (each instanceof SVGElement && !(each instanceof SVGSVGElement)) continue;
        const outer = each.getBoundingClientRect();
        const across = clipping.test(overflowX) && (box.left < outer.left - 1 || box.right > outer.right + 1);
        const down = clipping.test(overflowY) && (box.top < outer.top - air || box.bottom > outer.bottom + air);
        if (across || down) found.add(`"${text}" is cut off by ${described(each)}`);
      }
    }
    return [...found];
  }

  function overlapping() {
    const sorted = [...lines()].sort((one, other) => one.box.top - other.box.top);
    const found = new Set();
    sorted.forEach((one, place) => {
      for (const other of sorted.slice(place + 1)) {
        if (other.box.top >= one.box.bottom) break;
        const across = Math.min(one.box.right, other.box.right) - Math.max(one.box.left, other.box.left);
        const down = Math.min(one.box.bottom, other.box.bottom) - Math.max(one.box.top, other.box.top);
        // Lines set close touch with their fonts' boxes, not with their letters.
        if (across > 1.5 && down > 0.35 * Math.min(one.box.height, other.box.height)) found.add(`"${one.text}" and "${other.text}" lie over each other`);
      }
    });
    return [...found];
  }

  // What a printer cannot break over two pages, and is taller than one.
  function tall(height) {
    return [...document.body.querySelectorAll("*")]
      .filter((each) => !each.ownerSVGElement && each.checkVisibility())
      .filter((each) => /^(svg|img|canvas)$/i.test(each.tagName) || /avoid/.test(style(each).breakInside))
      .filter((each) => each.getBoundingClientRect().height > height)
      .map((each) => `${described(each)} is ${each.getBoundingClientRect().height.toFixed(0)} px tall, a page ${height.toFixed(0)}`);
  }

  const brush = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const known = new Map();
  function pixel(colour) {
    if (!known.has(colour)) {
      brush.clearRect(0, 0, 1, 1);
      brush.fillStyle = colour;
      brush.fillRect(0, 0, 1, 1);
      known.set(colour, [...brush.getImageData(0, 0, 1, 1).data]);
    }
    return known.get(colour);
  }

  const ofText = (element) => (element.ownerSVGElement ? style(element).fill : style(element).color);

  function opacity(element) {
    return [...upwards(element)].reduce((sum, each) => sum * Number(style(each).opacity), 1);
  }

  // Paper: text is black, nothing has a hue, and what lies behind is white.
  function ink() {
    const found = new Set();
    for (const { text, element } of lines()) {
      const [red, green, blue, alpha] = pixel(ofText(element));
      if (red + green + blue > 0 || alpha < 255 || opacity(element) < 1) found.add(`"${text}" is not printed black: ${ofText(element)}`);
    }
    for (const element of [document.documentElement, ...document.body.querySelectorAll("*"), document.body]) {
      if (UNSEEN.has(element.tagName) || !element.checkVisibility()) continue;
      const seen = style(element);
      const [red, green, blue, alpha] = pixel(seen.backgroundColor);
      if (alpha > 0 && Math.min(red, green, blue) < 255) found.add(`${described(element)} lies on ${seen.backgroundColor}`);
      if (seen.backgroundImage !== "none") found.add(`${described(element)} lies on a picture`);
      const drawn = element instanceof SVGElement ? [seen.fill, seen.stroke] : [];
      const sides = ["Top", "Right", "Bottom", "Left"].filter((side) => parseFloat(seen[`border${side}Width`]) > 0);
      for (const colour of [...drawn, ...sides.map((side) => seen[`border${side}Color`])]) {
        if (colour === "none" || colour.startsWith("url(")) continue;
        const [r, g, b, a] = pixel(colour);
        if (a > 0 && Math.max(r, g, b) - Math.min(r, g, b) > 2) found.add(`${described(element)} is printed in colour: ${colour}`);
      }
    }
    return [...found];
  }

  // What would make a page more than a file: code, and what lies elsewhere.
  function outside() {
    const found = [];
    for (const element of document.querySelectorAll("*")) {
      if (/^script$/i.test(element.tagName)) found.push("a script");
      for (const { name, value } of element.attributes) {
        if (/^on/i.test(name)) found.push(`code in ${name} of ${described(element)}`);
        if (/^\s*javascript:/i.test(value)) found.push(`code in ${name} of ${described(element)}`);
        const loads = /^(src|srcset|poster|background|action|formaction|ping|manifest|data)$/i.test(name)
          || (/href$/i.test(name) && !/^a$/i.test(element.tagName));
        if (loads && !/^\s*(#|data:)/i.test(value)) found.push(`${name} "${value}" of <${element.tagName.toLowerCase()}>`);
      }
    }
    const told = [...document.querySelectorAll("style")].map((each) => each.textContent)
      .concat([...document.querySelectorAll("[style]")].map((each) => each.getAttribute("style"))).join("\n");
    for (const [, where] of told.matchAll(/url\(\s*["']?([^"')]*)/gi)) if (!/^(#|data:)/i.test(where)) found.push(`a style's url "${where}"`);
    if (/@import/i.test(told)) found.push("a style's @import");
    return found;
  }

  // All words that a reader has in front of them, also those in what is folded; without what is left out of paper on purpose.
  function words() {
    const found = [];
    for (const { text, element } of texts()) {
      if ([...upwards(element)].some((each) => style(each).display === "none" || style(each).visibility === "hidden")) continue;
      if (!forReadersOnly(element)) found.push(text);
    }
    return found;
  }

  // The margins that the page asks of paper, in CSS pixels: top, right, bottom, left; null where it asks for none.
  function margins() {
    const sizes = { px: 1, in: 96, cm: 96 / 2.54, mm: 96 / 25.4, pt: 96 / 72, pc: 16 };
    for (const sheet of document.styleSheets) {
      for (const rule of sheet.cssRules) {
        if (!(rule instanceof CSSPageRule) || rule.selectorText) continue;
        const told = ["margin-top", "margin-right", "margin-bottom", "margin-left"].map((each) => rule.style.getPropertyValue(each));
        if (told.every((each) => each)) return told.map((each) => parseFloat(each) * (sizes[each.replace(/[-\d.]/g, "")] || 0));
      }
    }
    return null;
  }

  // Each line of text with its colour, and the contrast it needs: WCAG 2.2, success criterion 1.4.3.
  function inks() {
    return lines().map(({ text, element, box }) => {
      const size = parseFloat(style(element).fontSize);
      const large = size >= 24 || (size >= 18.66 && Number(style(element).fontWeight) >= 700);
      const [red, green, blue, alpha] = pixel(ofText(element));
      return {
        text, colour: [red, green, blue], alpha: (alpha / 255) * opacity(element), needed: large ? 3 : 4.5,
        box: [box.left + scrollX, box.top + scrollY, box.width, box.height],
      };
    });
  }

  // Leaves all as it is but the letters.
  function withoutLetters() {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync("* { -webkit-text-fill-color: transparent !important; text-decoration: none !important; text-shadow: none !important }"
      + " svg text, svg tspan, svg textPath { fill: transparent !important; stroke: transparent !important }");
    document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
  }

  // Run on a page of its own: how text stands out from the picture of what lies behind it.
  async function faint(picture, told) {
    const image = new Image();
    image.src = `data:image/png;base64,${picture}`;
    await image.decode();
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [image.width, image.height];
    const context = canvas.getContext("2d", { willReadFrequently: true });
    context.drawImage(image, 0, 0);
    // Relative luminance and contrast ratio as WCAG 2.2 defines them.
    const linear = (value) => (value / 255 <= 0.04045 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4);
    const luminance = ([red, green, blue]) => 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
    const found = new Set();
    for (const { text, colour, alpha, needed, box: [left, top, width, height] } of told) {
      const { data } = context.getImageData(Math.round(left), Math.round(top), Math.max(1, Math.round(width)), Math.max(1, Math.round(height)));
      const ratios = [];
      for (let at = 0; at < data.length; at += 4) {
        const behind = [data[at], data[at + 1], data[at + 2]];
        const shown = colour.map((value, place) => value * alpha + behind[place] * (1 - alpha));
        const [low, high] = [luminance(shown), luminance(behind)].sort((one, other) => one - other);
        ratios.push((high + 0.05) / (low + 0.05));
      }
      // A thin line behind a word takes nothing from it; a tenth of its box does.
      const worst = ratios.sort((one, other) => one - other)[Math.floor(ratios.length / 10)];
      if (worst < needed) found.add(`"${text}" has a contrast of ${worst.toFixed(2)}, ${needed} is needed`);
    }
    return [...found];
  }

  return { wide, cut, overlapping, tall, ink, outside, words, margins, inks, withoutLetters, faint };
})()
