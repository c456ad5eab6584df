package takewright.library;

import java.nio.file.Path;

/**
 * What came of a build.
 *
 * @param samples samples in the folder
 * @param missing cells that no region fills
 * @param leftOut regions rejected, or beyond what the sheet asks for
 * @param flagged samples kept but flagged
 * @param indexFile the table of all regions and missing cells
 * @param samplesReused samples that an earlier run had finished
 */
public record BuildResult(
    int samples, int missing, int leftOut, int flagged, Path indexFile, int samplesReused) {}
