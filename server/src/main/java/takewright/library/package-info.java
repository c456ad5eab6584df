/**
 * A build: the order of its work and its workers. What is done at each step is in the packages
 * below.
 *
 * <p>Decisions, with the figures that decided (up to 2026-11-29, 2 cores; processor time unless
 * said otherwise):
 *
 * <ul>
 *   <li><b>Killed builds</b> continue to the same bytes, the page and the journal among them
 *       ({@code BuildFaultsTest}). It kills after a number of signs of progress, since kills after
 *       a time meet a build only on an equally fast machine.
 *   <li><b>Takes are matched as soon as they are cut</b>, notes are heard until the last take is
 *       cut, and DLS files are written while samples are made, the longest take's first. Before, of
 *       8 s of wall clock 0.4 went by with one core idle and 0.3 with both nearly so.
 *   <li><b>Files are not read again that the system says are as they were.</b> With nothing
 *       changed, 1,000 samples (four layers, 28 min of takes) took 1.6 to 1.9 s, mostly for
 *       checksums; 0.6 to 0.8 now.
 *   <li><b>Parts keep articulations whole,</b> since a level follows from all notes of its
 *       articulation; two passes with a barrier between them would need a file of all that was
 *       heard. A Slurm array of three parts, one of them killed and requeued, gave the 133 files of
 *       one process (SHA-256). The last build cuts all takes again, 14 % of the work: beyond seven
 *       times as many machines that is the bottleneck.
 *   <li><b>Three flushes a sample</b> (it, its folder, the journal), 0.2 to 0.4 ms each. More
 *       workers than cores, or cores lent out during a flush, were 6 % shorter on a busy disk and
 *       as much longer on a quiet one: left aside.
 *   <li><b>A command starts in 0.58 s instead of 0.82</b> of processor time since it reads the
 *       options of its own command alone and compiles no small method for full speed. A call of a
 *       service waits 0.3 s less at its end since gRPC's network thread ends first. Texts are put
 *       together by plain calls ({@code -XDstringConcat=inline}), as classes made at run time are
 *       in no archive: 0.397 to 0.383 s. Left aside: a static archive, pages of 2 MB, a thread that
 *       loads the network's classes ahead.
 *   <li><b>The archive of classes is made with {@code -Xbatch}</b> (Java 17), as it keeps which
 *       methods wait for the compiler: one made on a busy machine left some of the hottest in the
 *       interpreter for as long as a service ran. The launcher compares its jars with those in use,
 *       because Java passes over an archive of other jars without a word.
 *   <li><b>Compilers.</b> A cold build of 14.2 min spent 7 of 20 s in HotSpot's C2. The serial
 *       collector with a young generation of 200 MB took 8 % off it (and 360 MiB stay resident
 *       instead of 1,620), methods that take in less of what they call ({@code
 *       -XX:InlineSmallCode=600 -XX:FreqInlineSize=100}) another 10, and half of what a service's
 *       first build compiles; its fourth build is as fast. Left aside: later compilation, other
 *       unrolling, no escape analysis; C1 alone, which takes a third more wall clock.
 *   <li><b>One decision makes one note again</b>: of pitch, level, loop, cleaning, fades or bounds
 *       4 samples of 1,580 (two microphones, two made layers), of an accepted flag or a dropped
 *       note none, of an attempt that is kept after all 12. All levels lie on one curve, so that a
 *       dropped note moved others by 0.01 to 0.04 dB; {@code SettledMoves} keeps what nobody hears.
 *       Such a build takes 1.3 to 3.7 s; left are the note's layers, four DLS files and matching.
 *   <li><b>The page that plays a library</b> is a page and one script beside it: a browser runs no
 *       module from disk, and a service's page may hold no script. It decodes WAV itself, because
 *       the browser's decoder changes the rate and moves loops. Keys beside a root are moved by a
 *       windowed sinc (residue of a 9 kHz tone -104 dB; the browser's straight line leaves images
 *       at -24 dB). With 1,000 samples of 4 s in stereo the first note comes after 0.2 s, and 400
 *       strokes all over the keys take the browser's process to 352 MiB (Chromium 156).
 * </ul>
 */
package takewright.library;
