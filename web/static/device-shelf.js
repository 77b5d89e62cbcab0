// Where a browser keeps practices: two stores of one IndexedDB. Thin on purpose; what is kept, and for how long, is
// practice-record.js's.

const NAME = "windrow-practice";
const VERSION = 1;
const HEADS = "heads";
const PIECES = "pieces";

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
const answered = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

/**
 * Opens the shelf.
 * @returns {Promise<DeviceShelf>} fails in a browser that keeps nothing, as some private windows
 */
export async function openShelf() {
  const opening = indexedDB.open(NAME, VERSION);
  opening.onupgradeneeded = () => {
    opening.result.createObjectStore(HEADS, { keyPath: "origin_id" });
    opening.result.createObjectStore(PIECES);
  };
  const database = await answered(opening);
  // Another page may want to change it, or to delete it.
  database.onversionchange = () => database.close();
  return new DeviceShelf(database);
}

/** @implements {import("./practice-record.js").Shelf} */
export class DeviceShelf {
  /** @param {IDBDatabase} database */
  constructor(database) {
    this.database = database;
  }

  /** @param {string} store @param {(store: IDBObjectStore) => IDBRequest} ask */
  async read(store, ask) {
    return answered(ask(this.database.transaction(store).objectStore(store)));
  }

  /** Done when it is kept, not when it is asked for. @param {string[]} stores @param {(at: (store: string) => IDBObjectStore) => void} change */
  write(stores, change) {
    return /** @type {Promise<void>} */ (
      new Promise((resolve, reject) => {
        const transaction = this.database.transaction(stores, "readwrite");
        transaction.oncomplete = () => resolve();
        transaction.onerror = () => reject(transaction.error);
        transaction.onabort = () => reject(transaction.error);
        change((store) => transaction.objectStore(store));
      })
    );
  }

  /** @param {string} originId */
  range(originId) {
    return IDBKeyRange.bound([originId, 0], [originId, Infinity]);
  }

  heads() {
    return this.read(HEADS, (store) => store.getAll());
  }

  /** @param {import("./practice-record.js").Head} head */
  putHead(head) {
    return this.write([HEADS], (at) => void at(HEADS).put(head));
  }

  /** @param {string} originId @param {number} place @param {string} text */
  putPiece(originId, place, text) {
    return this.write([PIECES], (at) => void at(PIECES).put(text, [originId, place]));
  }

  /** @param {string} originId */
  pieces(originId) {
    return this.read(PIECES, (store) => store.getAll(this.range(originId)));
  }

  /** @param {string} originId */
  drop(originId) {
    return this.write([HEADS, PIECES], (at) => {
      at(HEADS).delete(originId);
      at(PIECES).delete(this.range(originId));
    });
  }
}
