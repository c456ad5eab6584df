package takewright.report;

import java.io.IOException;
import java.util.HashMap;
import java.util.Map;
import java.util.function.BooleanSupplier;
import java.util.function.Consumer;
import java.util.function.DoubleConsumer;
import takewright.library.BuildProgress;
import takewright.library.folder.IndexRow;

/**
 * The pictures and sounds of a build's page: draws those that lie on the disk, and makes any other
 * when it is asked for while the page is served.
 */
public final class PageSource {
  /** Draws all pictures of a page. */
  interface PageDrawing {
    /**
     * @param share told the share that is drawn, before {@code progress}
     */
    void draw(DoubleConsumer share, Consumer<BuildProgress> progress, BooleanSupplier cancelled)
        throws IOException;
  }

  private final SamplePictures pictures;
  private final PageDrawing drawing;
  private final Map<String, IndexRow> regions = new HashMap<>();
  private final int count;
  private volatile int left;

  PageSource(Report.Pictures pictures, PageDrawing drawing) {
    this.pictures = pictures.source();
    this.drawing = drawing;
    count = pictures.drawn().size();
    left = count;
    for (IndexRow row : pictures.rows()) {
      String script = this.pictures.script(row);
      if (!script.isEmpty()) {
        regions.put(script, row);
      }
    }
  }

  /**
   * Draws the pictures and sounds that a page on the disk needs and does not have yet. Takes a
   * tenth of the build's time, and nobody waits for it but who opens the page from the disk.
   *
   * @param progress told where it is
   * @param cancelled asked now and then
   * @throws java.util.concurrent.CancellationException if it was cancelled; what is drawn stays
   * @throws IOException if a take or a sample cannot be read, or a picture not be written
   */
  public void draw(Consumer<BuildProgress> progress, BooleanSupplier cancelled) throws IOException {
    if (left > 0) {
      drawing.draw(
          share -> left = (int) Math.ceil(count * (1 - share) - 1e-6), progress, cancelled);
      left = 0;
    }
  }

  /** Pictures, with their sounds, that are still to be drawn. */
  public int left() {
    return left;
  }

  /**
   * A script of the page.
   *
   * @param part the folder that it would lie in: pictures or sounds
   * @param name its file name
   * @return its bytes; null if there is no such region
   * @throws IOException if the take or the sample cannot be read
   */
  public byte[] script(String part, String name) throws IOException {
    IndexRow row = regions.get(name);
    boolean known = part.equals(SamplePictures.PICTURES) || part.equals(SamplePictures.SOUNDS);
    return row == null || !known ? null : pictures.content(part, row);
  }
}
