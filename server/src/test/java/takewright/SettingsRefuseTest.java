package takewright;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Named.named;

import java.lang.reflect.Constructor;
import java.lang.reflect.InvocationTargetException;
import java.lang.reflect.RecordComponent;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.stream.Stream;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import takewright.analyse.AnalyseSettings;
import takewright.analyse.BlockSettings;
import takewright.denoise.DenoiseSettings;
import takewright.diagnosis.SettingException;
import takewright.layer.RoomShape;
import takewright.level.LevelSettings;
import takewright.map.DlsSettings;
import takewright.map.MapSettings;
import takewright.segment.SegmentSettings;

/**
 * Every number of an operation's settings is refused where it is none or far out of any range, by
 * its own name, whoever asks. A number that is added to a record is tried by itself.
 */
class SettingsRefuseTest {
  private static final List<Record> SETTINGS =
      List.of(
          SegmentSettings.DEFAULTS,
          AnalyseSettings.DEFAULTS,
          new BlockSettings(100, false, 440),
          DenoiseSettings.DEFAULTS,
          LevelSettings.DEFAULTS,
          MapSettings.DEFAULTS,
          DlsSettings.DEFAULTS,
          RoomShape.DEFAULTS);

  static Stream<Arguments> numbers() {
    return SETTINGS.stream()
        .flatMap(
            settings ->
                Arrays.stream(settings.getClass().getRecordComponents())
                    .filter(part -> part.getType() == double.class || part.getType() == int.class)
                    .map(part -> Arguments.of(named(name(settings), settings), part)));
  }

  private static String name(Record settings) {
    return settings.getClass().getSimpleName();
  }

  @ParameterizedTest
  @MethodSource("numbers")
  void aNumberOutOfRangeIsRefusedByItsName(Record settings, RecordComponent part) throws Exception {
    List<? extends Number> tried =
        part.getType() == int.class
            ? List.of(Integer.MIN_VALUE, Integer.MAX_VALUE)
            : List.of(Double.NaN, Double.POSITIVE_INFINITY, Double.NEGATIVE_INFINITY, 1e9, -1e9);
    String field = part.getName().replaceAll("([A-Z])", "_$1").toLowerCase(Locale.ROOT);
    for (Number value : tried) {
      SettingException refused =
          assertThrows(SettingException.class, () -> with(settings, part, value), value.toString());
      assertEquals(field, refused.problem().field(), value.toString());
    }
  }

  /** The settings with one number changed, by the record's own constructor. */
  private static Object with(Record settings, RecordComponent changed, Number value)
      throws Throwable {
    RecordComponent[] parts = settings.getClass().getRecordComponents();
    Object[] values = new Object[parts.length];
    Class<?>[] types = new Class<?>[parts.length];
    for (int i = 0; i < parts.length; i++) {
      types[i] = parts[i].getType();
      parts[i].getAccessor().setAccessible(true);
      values[i] =
          parts[i].getName().equals(changed.getName())
              ? (Object) value
              : parts[i].getAccessor().invoke(settings);
    }
    Constructor<?> constructor = settings.getClass().getDeclaredConstructor(types);
    try {
      return constructor.newInstance(values);
    } catch (InvocationTargetException e) {
      throw e.getCause();
    }
  }
}
