/**
 * A build: the order of its work and its workers. What is done at each step is in the packages
 * below.
 *
 * <p>Findings (measured up to 2026-11-29):
 *
 * <ul>
 *   <li><b>Killed builds:</b> at random moments, each continued to the same bytes, the page and the
 *       journal among them, with nothing left over ({@code -Dtakewright.kills=100}, {@code
 *       BuildFaultsTest}). Kills come after a number of signs of progress, since kills after a time
 *       met a build only on an equally fast machine.
 *   <li><b>Where the processor time goes</b> (held notes, 14.2 min, 125 samples, warm, JFR every 5
 *       ms): cutting 27 %, noise reduction 24, loops 17, pitch 8, pictures 7, measuring 6, tuning
 *       5. Loops were 26 % before energies, amplitudes and phases were worked out once. Of the wall
 *       clock, 0.4 s went by with one core idle after the longest take was cut, and 0.3 s with both
 *       nearly idle while DLS files were flushed; takes are matched as soon as they are cut now,
 *       and DLS files written while samples are made, those of the longest take first. Of 8 s one
 *       core still waited for 0.25 until the last take was cut (2026-11-29): notes are heard then.
 *   <li><b>A rebuild with nothing changed</b> of 1,000 samples (four layers, 28 min of takes) in a
 *       running service took 1.6 to 1.9 s of processor time, most of it for checksums of files that
 *       were read two or three times; 0.6 to 0.8 s since files are not read again that the system
 *       says are as they were. In a new process all takes are cut again: 13 s.
 *   <li><b>Parts.</b> Articulations stay whole, since a level follows from all notes of its
 *       articulation: the alternative, two passes with a barrier between cutting and making, needs
 *       a file of all that was heard. A Slurm array of three parts on one node with two slots, one
 *       of them killed after 10 samples and requeued, and a build that ended it, gave the 133 files
 *       of one process (SHA-256). What the last build does again is the cutting, 14 % of the work:
 *       beyond seven times as many machines it is the bottleneck.
 *   <li><b>Flushes.</b> Each sample cost five (file, folder, two lines of the journal, and the file
 *       again for its keys, those of all samples one after the other), now three; 0.2 to 0.4 ms
 *       each on a virtual disk. A line of the journal that is not flushed at once would save
 *       another, but no test could tell then whether the next sample's was. Two workers more than
 *       cores, which compute while others wait for the disk, made a warm build 6 % shorter on a
 *       disk that others used as much (load 18) and 6 % longer on a quiet one, for 5 % more
 *       processor time; cores that are lent out during each flush made it longer in four of five
 *       pairs. Both were left aside.
 *   <li><b>Starting a command</b> took 0.82 s of processor time: a sixth of it read the options of
 *       all commands, another sixth compiled small methods for full speed; 0.58 without both. With
 *       the classes of a whole build in the archive, a build of six taps took 2.65 s instead of
 *       3.03. A call of a service waited 0.3 s for nothing at its end (HotSpot, for gRPC's network
 *       thread, which was in a call of the system): 0.29 s on the clock instead of 0.68 since the
 *       thread ends first, buffers have no pool and the service's logging is left alone. What is
 *       left are picocli's classes, which are of Java 5 and so in no dynamic archive of classes (a
 *       static one saves 0.04 s), and gRPC's look through all jars for its providers. A build made
 *       284 classes that no archive keeps, half of them for texts that are put together: compiled
 *       into plain calls ({@code -XDstringConcat=inline}) a call of a service took 0.383 s of
 *       processor time instead of 0.397 (medians of six pairs). Pages of 2 MB ({@code
 *       -XX:+UseTransparentHugePages}) cost 2 s more, as many are touched and hardly used. The
 *       network's classes loaded by a second thread while picocli reads the options made a call 5 %
 *       shorter (25 pairs at a load of 4 to 6): left aside, as that is 0.4 % of a warm build.
 *   <li><b>The archive of classes keeps which methods wait for the compiler</b> (Java 17). Made on
 *       a busy machine, it left some of the hottest ({@code SlidingPower.of}) in the interpreter
 *       for as long as a service ran: 11.6 s of processor time for a warm build. Made with {@code
 *       -Xbatch}, in which none waits, they are compiled. Java passes over one that was made of
 *       other jars without a word: the call of a service took 0.65 s of processor time instead of
 *       0.42 after Maven had made the jar again, so the launcher compares them.
 *   <li><b>A cold build</b> of 14.2 min spent 7 of 20 s of processor time in HotSpot's C2, spread
 *       over 360 methods. In pairs, each against the options above it (2 cores, load 10 to 20): the
 *       serial collector took 5 % and, with a young generation of 200 MB, 8 (1,620 MiB resident
 *       became 360: the parallel one touched new pages up to its limit); methods that take in less
 *       of what they call ({@code -XX:InlineSmallCode=600 -XX:FreqInlineSize=100}) another 10; 300
 *       instead of 600 added 10 instead. Left aside: {@code LoopOptsCount=20} and {@code
 *       MaxInlineLevel=9} (nothing beside these), fewer unrolled loops (+8 %), no escape analysis,
 *       {@code Tier3DelayOn=0} (+3 %), later compilation still, pages of 2 MB. C1 alone takes a
 *       third more wall clock; C2 alone less, but short commands then run in the interpreter.
 *   <li><b>The first build of a service</b> spent 26 to 29 s in C2. With methods that take in less
 *       of what they call, it spent 14 to 15: 45 s of processor time instead of 81 (G1), 43 instead
 *       of 68 (serial), and the second build 24 instead of 31. The fourth took 20.8 and 21.1 s: the
 *       code is as fast (2026-11-29, services side by side, load 6 to 9). Later compilation saves
 *       another 5 % of the first build and nothing after it: left aside for the sake of short
 *       calls.
 *   <li><b>One decision makes one note again</b> (decisions posted to the page of {@code build
 *       --watch}, 1,580 samples of 395 notes in two microphones and two made layers): of pitch,
 *       level, loop, cleaning, fades or bounds 4 samples of 1,580, of an accepted flag or a dropped
 *       note none, of an attempt that is kept after all 12, as two round robins move up. All levels
 *       are drawn to one curve, so dropping a note moved others by 0.01 to 0.04 dB; {@code
 *       SettledMoves} keeps what nobody hears. A gain that lifts a peak over the ceiling lowers its
 *       articulation as a whole.
 *   <li><b>What a build after a decision costs</b>, the same library: 2.5 to 3.7 s of processor
 *       time where a note is made again, 1.3 for an accepted flag, 1.6 for a dropped note; 3.5 to
 *       7.7 s before, of which a third looked for other plans and a quarter heard short notes
 *       again. What is left: the note's layers, its four DLS files (12 %), matching (10 %).
 *   <li><b>The page that plays a library</b> is a page and one script beside it: a browser runs no
 *       module from disk, and a service's page may hold no script. It decodes WAV itself, because
 *       the browser's decoder changes the rate and moves loops. Keys beside a root are moved by a
 *       windowed sinc (residue of a 9 kHz tone -104 dB; the browser's straight line leaves images
 *       at -24 dB), 60 ms for 3 s of stereo, made ahead where there is time. With 1,000 samples of
 *       4 s in stereo the first note came after 0.2 s, and 400 strokes all over the keys took the
 *       browser's process to 352 MiB, of which 128 are the cache (Chromium 156, 2 busy cores).
 * </ul>
 */
package takewright.library;
