// Small helpers to build and change the document. Text goes in as text, never
// as markup; a node is touched only where something changed, so that focus,
// selection and screen readers are left in peace.

const SVG = 'http://www.w3.org/2000/svg';

/** An element: props are attributes, but for text (its text) and on (listeners by event name). */
export function el(tag, props = {}, ...children) {
  return fill(document.createElement(tag), props, children);
}

/** The same for a drawing. */
export function svg(tag, props = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), props, children);
}

function fill(node, props, children) {
  for (const [name, value] of Object.entries(props)) {
    if (name === 'text') node.textContent = value;
    else if (name === 'on') for (const [event, f] of Object.entries(value)) node.addEventListener(event, f);
    else setAttr(node, name, value);
  }
  node.append(...children.filter((c) => c !== null));
  return node;
}

/** Sets an attribute; false and null take it away, true sets it empty. */
export function setAttr(node, name, value) {
  if (value === false || value === null || value === undefined) {
    if (node.hasAttribute(name)) node.removeAttribute(name);
    return;
  }
  const text = value === true ? '' : String(value);
  if (node.getAttribute(name) !== text) node.setAttribute(name, text);
}

/** Sets the text of a node. */
export function setText(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

/** Shows or hides a node. */
export function show(node, visible) {
  if (node.hidden === visible) node.hidden = !visible;
}

/**
 * Lets parts rest while what was done with them is on its way: nothing can be typed
 * or pressed there that would be lost. Gives what wakes them, and puts the focus
 * back where it was.
 */
export function rest(parts) {
  const had = parts.some((p) => p.contains(document.activeElement)) ? document.activeElement : null;
  for (const part of parts) setAttr(part, 'inert', true);
  return () => {
    for (const part of parts) setAttr(part, 'inert', null);
    if (had !== null && document.activeElement === document.body) had.focus();
  };
}

/** Runs make when the key is another than last time; for parts that are rebuilt as a whole. */
export function onChange(make) {
  let last;
  return (key, ...args) => {
    if (key === last) return false;
    last = key;
    make(...args);
    return true;
  };
}
