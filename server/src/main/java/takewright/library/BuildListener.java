package takewright.library;

import java.util.List;
import java.util.Map;
import takewright.denoise.room.NoiseProfile;
import takewright.library.folder.IndexRow;
import takewright.library.take.TakeHeard;
import takewright.sheet.Take;

/** Receives what a build finds; called from several threads. */
public interface BuildListener {
  /** A listener that does nothing. */
  BuildListener NOBODY =
      new BuildListener() {
        @Override
        public void heard(TakeHeard take) {}

        @Override
        public void matched(Take take, List<IndexRow> missing, Map<String, NoiseProfile> rooms) {}

        @Override
        public void made(List<IndexRow> samples) {}
      };

  /** A take was cut; takes come in the order of the sheet. */
  void heard(TakeHeard take);

  /**
   * It is certain which cells of a take are filled.
   *
   * @param missing the rows of the index of those that are not
   * @param rooms the room tone by which the samples of each recorded layer are cleaned; a layer in
   *     which nobody is silent is not among them
   */
  void matched(Take take, List<IndexRow> missing, Map<String, NoiseProfile> rooms);

  /** The samples of a cell are written, in all layers: their rows of the index. */
  void made(List<IndexRow> samples);

  /**
   * Whether more belongs to the build when its samples and its table are there. Who says so calls
   * {@link Build#end} in the end.
   */
  default boolean hasMoreToDo() {
    return false;
  }
}
