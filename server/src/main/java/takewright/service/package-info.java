/**
 * gRPC in and out: one small adapter per operation, access, limits and deadlines. Problems of a
 * request are reported here; nothing is done to sound.
 *
 * <p>Decisions and figures (measured up to 2026-11-27 on two cores):
 *
 * <ul>
 *   <li><b>A scheduler gives out cores,</b> first to calls that have computed for less than 0.1 s,
 *       then to takes in slices of 10 ms. With one queue for all calls a 2 s sample took 2.3 s in
 *       the median and 7.2 s at 99 % under load. Eight takes per core instead of four doubled the
 *       wait and finished no more.
 *   <li><b>Load</b> ({@code LoadRun}: 64 clients for a minute, a heap of 512 MB, quiet machine):
 *       4918 samples, 11 ms in the median and 127 ms at 99 %; 4847 lists, 1.6 and 136 ms; 372 takes
 *       of 40 s, 1.1 and 3.2 s; 2026 takes refused, 3 and 64 ms. No call hung, 11 MB of heap
 *       afterwards, at most 711 MB for the process. Alone and warm a sample takes 2.3 ms.
 *   <li><b>The same for five minutes beside 16 clients that misbehave</b> ({@code LoadRun 300 16},
 *       two cores shared with others): of 50,000 calls none failed but by RESOURCE_EXHAUSTED; 94
 *       threads, 214 descriptors and 754 MB at most, 27, 124 and 730 afterwards (25, 107 and 224
 *       before; 16 dropped sessions wait for half an hour). With {@code
 *       -XX:MaxDirectMemorySize=64m} ten calls ended with INTERNAL or UNAVAILABLE and the memory
 *       was the same, so direct memory is not limited.
 *   <li><b>A followed session beside two builds</b> ({@code LiveRun}, saxophone staccato at real
 *       speed): notes reported 221 ms after their last audible frame in the median, 238 at most;
 *       220 and 244 without builds. Builds leave a core while a session is followed and take twice
 *       as long. A fixed pause for builds did not shorten the longest waits. Java's thread
 *       priorities do nothing on Linux by default.
 *   <li><b>Time of a 2 s sample</b> (384 KB in one message): 3.4 ms of analysis, 1.5 ms of
 *       transport, of which 0.5 are the bytes over loopback and the rest threads waking each other.
 *       Each PCM encoding has a decoding method of its own (0.06 ms instead of 0.5). A larger
 *       flow-control window gains nothing.
 *   <li><b>Two messages of 1 MiB are requested ahead;</b> four kept 4 MiB for each call.
 *   <li><b>Followed sessions keep the audio on disk,</b> not the notes found: a segmenter that
 *       begins in the middle hears the room again, and the table would not be the build's. Another
 *       thread flushes each second; a killed service loses nothing, a crashed machine loses that
 *       second, which {@code next_frame} asks for again.
 *   <li><b>Watchers of a build have no thread;</b> they get progress when they have room for it, so
 *       a slow one misses some and nobody waits.
 *   <li><b>Bytes that are no protobuf message</b> are answered with UNKNOWN by gRPC itself. A
 *       marshaller of our own could answer INVALID_ARGUMENT, at the price of one more layer under
 *       every message.
 *   <li><b>Logback with the logstash encoder</b> writes the JSON log; slf4j-simple cannot. It is
 *       set up in code, so that commands do not read XML.
 *   <li><b>A first session heard at start</b> lets Java load and compile before the first real one;
 *       the gain was not shown.
 * </ul>
 */
package takewright.service;
