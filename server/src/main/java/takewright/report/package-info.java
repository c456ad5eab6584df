/**
 * What a person looks at: the page of a built library, which opens from disk, and pictures of one
 * sample or take. It reads what the library has written and draws it; nothing below knows of it.
 *
 * <p>Decisions and figures (2026-11-25):
 *
 * <ul>
 *   <li><b>The service calls it after the build.</b> The library must not know who draws it. The
 *       build only reports what was heard in each take, with the level strip noted while the take
 *       is read; reading it again would cost 5 % of a build.
 *   <li><b>Data are scripts that hand their content over.</b> {@code fetch} and modules do not work
 *       from disk. Each sample's picture is a script of 10 to 20 KB, loaded when it is looked at.
 *   <li><b>Sounds lie in scripts too.</b> As WAV files an audit of the folder would take them for
 *       samples.
 *   <li><b>"Before" plays a stretch of the take</b> ({@code #t=from,to}). Sounds of their own, with
 *       which handles are heard and attempts compared, have only flagged samples and notes that
 *       were played several times; one for each would double the library.
 *   <li><b>The list is of notes.</b> A row for each file showed a fault once for each layer. What
 *       at least a third of an articulation's notes have stands in one row.
 *   <li><b>A picture as old as its sample is reused.</b> Drawing while the sample is in memory
 *       would save 2 of 11 ms but lose the picture whenever a sample is reused. A picture bears the
 *       time of what it shows, so that one drawn while its sample is replaced is drawn again.
 *   <li><b>A service draws when the build is done</b>, which was 11 % of a build's time: nobody
 *       waits for it. A page that is opened before makes what is looked at (served), or waits for
 *       it (from disk). A command without a service draws before it ends, since nobody would later.
 *       Pictures drawn by the page itself were weighed: from disk it can read no sound, so that
 *       each sample would have to lie there a second time as a script of 100 times the size.
 *   <li><b>The page of a running build has its token in the address.</b> Browsers send a cookie of
 *       127.0.0.1 to every port, and so to other users' servers.
 *   <li><b>Cost:</b> a page of 3072 samples is ready 0.2 to 0.45 s after it is opened, in each
 *       view; its folder holds 43 MB. The page of 43 staccato samples takes 0.27 s of processor
 *       time, half of it for the sounds of flagged samples.
 * </ul>
 */
package takewright.report;
