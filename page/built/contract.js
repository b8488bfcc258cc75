// What the program and the page say to one another. Addresses are relative to the page's own.
export {};
