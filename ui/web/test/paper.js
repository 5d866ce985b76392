// A document of the little that the page needs of one, so that a view can be
// tried with a bench whose answers come when a test says so.

class Node {
  constructor(tag) {
    Object.assign(this, { tagName: tag.toUpperCase(), attributes: new Map(), childNodes: [], listeners: {}, parentNode: null, value: '' });
    this.dataset = new Proxy({}, { get: (_, name) => this.getAttribute(`data-${kebab(name)}`) ?? undefined, set: (_, name, v) => { this.setAttribute(`data-${kebab(name)}`, v); return true; } });
  }
  get children() { return this.childNodes.filter((c) => c instanceof Node); }
  get childElementCount() { return this.children.length; }
  get firstElementChild() { return this.children[0] ?? null; }
  get textContent() { return this.childNodes.map((c) => (c instanceof Node ? c.textContent : c)).join(''); }
  set textContent(text) { this.replaceChildren(...(text === '' ? [] : [String(text)])); }
  get innerText() { return this.hidden ? '' : this.childNodes.map((c) => (c instanceof Node ? c.innerText : c)).join(''); }
  get hidden() { return this.hasAttribute('hidden'); }
  set hidden(on) { this.flag('hidden', on); }
  get disabled() { return this.hasAttribute('disabled'); }
  set disabled(on) { this.flag('disabled', on); }
  get inert() { return this.hasAttribute('inert') || this.parentNode?.inert === true; }
  get open() { return this.hasAttribute('open'); }
  set open(on) { this.flag('open', on); }
  get offsetParent() { return this.hidden ? null : this.parentNode === null ? this : this.parentNode.offsetParent; }
  flag(name, on) { if (on) this.setAttribute(name, ''); else this.removeAttribute(name); }
  hasAttribute(name) { return this.attributes.has(name); }
  getAttribute(name) { return this.attributes.get(name) ?? null; }
  setAttribute(name, value) { this.attributes.set(name, String(value)); }
  removeAttribute(name) { this.attributes.delete(name); }
  append(...nodes) {
    for (const n of nodes) {
      if (n instanceof Node) {
        n.remove();
        n.parentNode = this;
      }
      this.childNodes.push(n);
    }
  }
  remove() {
    if (this.parentNode !== null) this.parentNode.childNodes = this.parentNode.childNodes.filter((c) => c !== this);
    this.parentNode = null;
  }
  replaceChildren(...nodes) {
    for (const c of this.children) c.parentNode = null;
    this.childNodes = [];
    this.append(...nodes);
  }
  contains(other) {
    for (let n = other; n; n = n.parentNode) if (n === this) return true;
    return false;
  }
  addEventListener(name, f) { (this.listeners[name] ??= []).push(f); }
  /** An event bubbles up to the top. */
  fire(type, more = {}) {
    for (let n = this; n !== null; n = n.parentNode) for (const f of n.listeners[type] ?? []) f({ type, target: this, preventDefault() {}, ...more });
  }
  focus() { globalThis.document.activeElement = this; }
  scrollIntoView() {}
  /** Selectors of a tag, classes and attributes, one within the other. */
  querySelectorAll(selector) {
    const [first, ...rest] = selector.trim().split(/\s+/);
    const found = this.children.flatMap((c) => [...(c.matches(first) ? [c] : []), ...c.querySelectorAll(first)]);
    return rest.length === 0 ? found : found.flatMap((n) => n.querySelectorAll(rest.join(' ')));
  }
  querySelector(selector) { return this.querySelectorAll(selector)[0] ?? null; }
  matches(simple) {
    const tag = /^[a-z0-9]+/.exec(simple)?.[0];
    if (tag !== undefined && tag.toUpperCase() !== this.tagName) return false;
    const classes = (this.getAttribute('class') ?? '').split(' ');
    return [...simple.matchAll(/\.([\w-]+)/g)].every(([, c]) => classes.includes(c))
      && [...simple.matchAll(/\[([\w-]+)(?:="?([^"\]]*)"?)?\]/g)].every(([, a, v]) => (v === undefined ? this.hasAttribute(a) : this.getAttribute(a) === v));
  }
}

const kebab = (name) => name.replace(/[A-Z]/g, (c) => `-${c.toLowerCase()}`);

/** Spreads the document out; the views find it as a browser's. */
export function spread() {
  const body = new Node('body');
  globalThis.HTMLInputElement = class {};
  globalThis.document = {
    body, activeElement: body, addEventListener() {}, createElement: (tag) => new Node(tag), createElementNS: (_, tag) => new Node(tag), createTextNode: (text) => text,
  };
  globalThis.window = { addEventListener() {}, scrollTo() {}, location: { hash: '' } };
}

/** Presses are all meant here. */
export const guard = { changed() {}, open: () => true, press: (f) => f, step: (f) => f };

/**
 * A bench whose answers a test gives when it likes: asked lists what is on its way,
 * {path, body, answer(body, status), lose()}. Time passes by hand.
 */
export function slowBench() {
  const b = { ms: 1000, asked: [], timers: [] };
  b.settle = async () => {
    for (let i = 0; i < 30; i++) await new Promise((done) => { setImmediate(done); });
  };
  b.rim = {
    crypto: globalThis.crypto,
    now: () => b.ms,
    unixNow: () => 1_700_000_000_000 + b.ms,
    setTimeout: (f, ms) => { b.timers.push({ f, at: b.ms + ms }); },
    clearTimeout() {},
    sleep: (ms) => new Promise((done) => { b.rim.setTimeout(done, ms); }),
    storage: memory(),
    fetch: (path, options) => new Promise((done, fail) => {
      const take = (f) => async (...args) => {
        b.asked = b.asked.filter((a) => a !== asked);
        f(...args);
        await b.settle();
      };
      const asked = {
        path, body: options?.body === undefined ? null : JSON.parse(options.body),
        answer: take((body, status = 200) => done(new Response(JSON.stringify(body), { status }))),
        lose: take(() => fail(new TypeError('no network'))),
      };
      b.asked.push(asked);
    }),
  };
  /** Lets time pass, and whatever waited for it. */
  b.pass = async (ms) => {
    b.ms += ms;
    for (const t of b.timers.filter((x) => x.at <= b.ms)) {
      b.timers = b.timers.filter((x) => x !== t);
      t.f();
    }
    await b.settle();
  };
  /** The oldest that is on its way, of a path and, where a body was sent, of what it does. */
  b.on = (path, what) => {
    const found = b.asked.find((a) => a.path.startsWith(path) && (what === undefined ? a.body === null : a.body?.do === what));
    if (found === undefined) throw new Error(`nothing is on its way to ${path} ${what ?? ''}: ${JSON.stringify(b.asked)}`);
    return found;
  };
  return b;
}

function memory() {
  const kept = new Map();
  return { getItem: (k) => kept.get(k) ?? null, setItem: (k, v) => { kept.set(k, String(v)); } };
}
