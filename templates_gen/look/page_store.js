// A place of the browser where text is kept; it may refuse, and then says so.
class Store {
  // Takes the key that text is kept under, and tries whether the browser keeps any.
  constructor(key) {
    this.key = key;
    this.isRefused = false;
    this.attempt((storage) => storage.setItem(`${key} trial`, ""));
    this.attempt((storage) => storage.removeItem(`${key} trial`));
  }

  // What a use of the browser's storage gives, or null where it is refused.
  attempt(use) {
    try {
      const result = use(window.localStorage);
      this.isRefused = false;
      return result;
    } catch {
      this.isRefused = true;
      return null;
    }
  }

  // The text that is kept, or null.
  read() {
    return this.attempt((storage) => storage.getItem(this.key));
  }

  // Keeps a text.
  write(text) {
    this.attempt((storage) => storage.setItem(this.key, text));
  }

  // Puts aside a text that cannot be read, under a key of its own.
  putAside(text) {
    this.attempt((storage) => storage.setItem(`${this.key} unreadable`, text));
  }
}
