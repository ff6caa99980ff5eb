// The interpreter's memory as it stands with all of the program imported, so that a start need not
// import it again: browsers end an idle worker after half a minute, and on a slow phone importing
// takes seconds. It is made when a version is installed, of a machine that was told nothing, and
// lies in that version's cache. The same program gives the same memory up to there, so writing it
// back is as good as importing; in doubt all is imported, as it is where there is no image.
// To do without it, let sw.js not call `make`.
const image = (() => {
  const PATH = "/image";
  const BLOCK = 4096; // bytes; most of the memory is empty, and empty blocks are left out
  // What a memory must answer before it is believed: the SHA-256 of {}.
  const ASKED = '{"events":[{}]}';
  const ANSWER = "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a";
  // What the machine and the script that runs it number alike. Held for good: the script would free
  // what has these numbers in the next machine once they are let go.
  const held = [];

  async function make() {
    const made = await vm.fresh();
    const numbers = hold(made);
    const before = filled(made.memory); // may be empty at the end, and must be so in the next machine
    await vm.learn(made);
    const both = new Set([...before, ...filled(made.memory)]);
    const content = packed(made.memory, [...both].sort((a, b) => a - b));
    const about = { numbers, size: made.memory.buffer.byteLength, sha256: await sha256(content) };
    await bundle.keep(PATH, new Response(content, { headers: { about: JSON.stringify(about) } }));
  }

  // The image of this version, whole as it was made; null where there is none.
  async function find() {
    try {
      const kept = await bundle.file(PATH);
      const about = JSON.parse(kept.headers.get("about"));
      const content = await kept.arrayBuffer();
      return (await sha256(content)) === about.sha256 ? { ...about, content } : null;
    } catch {
      return null;
    }
  }

  // Write an image into the memory of a machine that was just made; false: the machine is of no use.
  function wake(made, { numbers, size, content }) {
    if (made.memory?.buffer.byteLength !== size || hold(made) !== numbers) return false;
    const memory = new Uint8Array(made.memory.buffer);
    const [count] = new Uint32Array(content, 0, 1);
    const blocks = new Uint8Array(content, 4 + 4 * count);
    new Uint32Array(content, 4, count).forEach((block, at) => {
      memory.set(blocks.subarray(at * BLOCK, (at + 1) * BLOCK), block * BLOCK);
    });
    return answers(made);
  }

  function answers(made) {
    try {
      made.globals.set("asked", ASKED);
      made.runPython("answer = phone.hashes(asked)");
      return JSON.parse(made.globals.get("answer")).hashes[0] === ANSWER;
    } catch {
      return false;
    }
  }

  function hold(made) {
    const both = [made.pyimport("__main__"), made.globals.__dict__];
    held.push(...both);
    return both.map((each) => each._ref).join();
  }

  // Which blocks of a memory hold anything.
  function filled({ buffer }) {
    const all = Array.from({ length: buffer.byteLength / BLOCK }, (_, block) => block);
    return all.filter((block) => new Uint32Array(buffer, block * BLOCK, BLOCK / 4).some(Boolean));
  }

  // How many blocks, which, and then their bytes.
  function packed({ buffer }, which) {
    const head = Uint32Array.of(which.length, ...which);
    const content = new Uint8Array(head.byteLength + which.length * BLOCK);
    content.set(new Uint8Array(head.buffer));
    which.forEach((block, at) => {
      content.set(new Uint8Array(buffer, block * BLOCK, BLOCK), head.byteLength + at * BLOCK);
    });
    return content.buffer;
  }

  const sha256 = async (content) => ids.hex(await crypto.subtle.digest("SHA-256", content));

  return { make, find, wake };
})();
