// A sender and receiver of sACN made of the npm package "sacn", a codec that others wrote: it prints
// what it is sent, one object a line, and sends packets of its own to the port given as argument.
const dgram = require('dgram');
const { Packet } = require('sacn');

const socket = dgram.createSocket('udp4');
const say = (o) => process.stdout.write(JSON.stringify(o) + '\n');
socket.on('message', (b) => {
  let p;
  try {
    p = new Packet(b);
  } catch (e) {
    return; // universe discovery, which it does not know
  }
  say({
    universe: p.universe, sequence: p.sequence, priority: p.priority, name: p.sourceName, options: p.options,
    sync: p.syncUniverse, count: p.propertyValueCount, cid: p.cid.toString('hex'), slots: p.payloadAsBuffer.toString('hex'),
  });
});
socket.bind(0, '127.0.0.1', () => {
  say({ port: socket.address().port });
  for (let k = 0; k < 5; k++) {
    const payload = {};
    for (let s = 1; s <= 512; s++) payload[s] = (k + 3 * s) & 255;
    const p = new Packet({
      universe: 4660, sequence: (254 + k) & 255, priority: 150, sourceName: 'peer', payload,
      cid: Buffer.from('6f0d4a1e2b3c4d5e8f60718293a4b5c6', 'hex'), useRawDmxValues: true,
    });
    socket.send(p.buffer, Number(process.argv[2]), '127.0.0.1');
  }
});
process.stdin.on('end', () => socket.close());
process.stdin.resume();
