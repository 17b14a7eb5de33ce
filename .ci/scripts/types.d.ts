// Types that the scripts of the pages share. Read by the check alone; no page carries them.

/** Three numbers: x, y, z in mm, or a direction. */
type Vector = number[];
/** Lower and upper end. */
type Interval = number[];
/** One array for each column: x, y, z. */
type Columns = Float32Array[];
/** Two vertices and the share of the second. */
type Between = [number, number, number];
/** The two ends of a piece of wall. */
type Crossing = Between[];

/* What the page carries: studies/page/packing.py, faces.py, scene.py, path_scene.py. */

interface PackedWhole {
  rows: number;
  columns: number;
  bytes: number;
  data: string;
}

interface PackedReals extends PackedWhole {
  low: number[];
  step: number[];
}

interface PackedSheet {
  sheet: PackedReals;
  quads: PackedWhole;
  outer_mm: PackedReals;
  wall_mm: PackedReals;
}

type Surface = "outer" | "inner";

interface Load {
  /** "" for a load of the case's own, "reaction", or "ram". */
  name: string;
  s_mm: number;
  from_mm: number;
  to_mm: number;
  at_mm: Vector;
  radius_mm: number;
  force_n: Vector;
  moment_nmm: Vector;
}

interface PackedStep {
  number: number;
  words: string;
  factor: number;
  peak: MarkedPlace | null;
  moved_mm: PackedReals;
  data: PackedReals;
}

/** Where a limit of a case is reached. */
interface LimitMark {
  /** On the ladder. */
  number: number;
  field: string;
  /** At what multiple of the load. */
  reached: string;
  words: string;
  below: boolean;
  s_mm: number;
  theta_rad: number;
  surface: Surface;
}

/** Limits that share a ring. */
interface LimitGroup {
  members: LimitMark[];
  /** Whether the field of one of them is shown. */
  chosen: boolean;
}

interface PackedPath extends PackedSheet {
  reported: number;
  most_percent: number;
  beyond: boolean;
  steps: PackedStep[];
}

interface PackedCase {
  id: string;
  title: string;
  drawn_scale: number;
  moved_mm: PackedReals;
  fields: Field[];
  loads: Load[];
  /** The nearest limit first. */
  marks: LimitMark[];
  path: PackedPath | null;
}

/** Where the bar ends: all that charts need of a scene. */
interface Span {
  ends_mm: Interval;
}

interface Scene extends PackedSheet, Span {
  version: number;
  name: string;
  clamp_mm: Interval;
  bends_mm: Interval[];
  cases: PackedCase[];
}

/** Lines of a case's charts: values at places along the bar. */
interface CaseNumbers {
  s_mm: number[];
  columns: Record<string, number[]>;
}

/* What is read from it. */

/** Vertices of a bar: the nodes, then the middle of each element. */
interface Sheet {
  nodeCount: number;
  quadCount: number;
  count: number;
  quads: Uint32Array;
  s: Float32Array;
  theta: Float32Array;
  /** Triangles, three vertices each. */
  fans: Uint32Array;
  /** Least and greatest s of each element. */
  reach: Float32Array;
  /** Pairs of neighbouring vertices at the bar's ends. */
  rims: number[][];
  base: Columns;
  inner: Columns;
}

/** Where vertices and elements are counted. */
type Counts = Pick<Sheet, "nodeCount" | "quadCount" | "count" | "quads">;

interface Flat {
  source: Uint32Array;
  arrays: Arrays;
}

/** A place along the bar and the value that its ring is coloured by. */
interface Ring {
  s_mm: number;
  value: number;
}

/** A field as Python describes it. */
interface Field {
  id: string;
  name: string;
  unit: string;
  /** Of the colours. */
  range: Interval;
  /** The largest value, where the data may not hold it. */
  most: number | null;
  signed: boolean;
  surfaces: string[];
  /** A column for each surface; without it the values are the size of the motion. */
  data: PackedReals | null;
  /** A motion of its own, of which only the shape counts. */
  shape: PackedReals | null;
  peak: MarkedPlace | null;
  /** Whether it is that of the case's path. */
  steps: boolean;
  /** Below it nothing is known: NaN once it is read. */
  blank_below: number | null;
  /** Places along the bar with a value of their own. */
  rings: Ring[];
  /** Beside the legend. */
  note: string;
}

/** A motion on outer and inner surface, a column for each axis. */
type Motion = Columns[];

interface ReadStep extends PackedStep {
  motion: Motion;
  /** Plastic strain on outer and inner surface, %. */
  values: Columns;
}

interface ReadPath {
  sheet: Sheet;
  flat: Flat;
  steps: ReadStep[];
}

interface ReadCase {
  packed: PackedCase;
  /** Values of each field on outer and inner surface. */
  values: Record<string, Columns>;
  motion: Motion;
  /** Shapes of fields that have one, and the largest motion of each. */
  shapes: Record<string, { motion: Motion; largest: number }>;
  path?: Promise<ReadPath>;
}

/* What is shown. */

/** A place on the bar: mm along the tube, angle from the top, surface. */
interface Place {
  s: number;
  theta: number;
  surface: Surface;
}

/** A place within a triangle. */
interface Corners {
  corners: number[];
  weights: number[];
}

type FoundPlace = Place & Corners;

interface Preset {
  name?: string;
  fit?: boolean;
}

/** What the view shows now. */
interface ViewState {
  caseId: string;
  field: string;
  surface: Surface;
  stretch: number;
  playing: boolean;
  swing: number;
  cut: number | null;
  sameColours: boolean;
  undeformed: boolean;
  hover: Place | null;
  pin: Place | null;
  preset: Preset | null;
  step: number;
  /** Factor on the walls of each group of the preview; none without a preview. */
  walls: number[];
  /** Multiple of the load that the preview shows. */
  load: number;
}

interface Store<State> {
  state: State;
  set(patch: Partial<State>): void;
  /** Returns what removes the listener. */
  on(listener: (changed: string[]) => void): () => boolean;
}

type ViewStore = Store<ViewState>;

interface Camera {
  turn: number;
  height: number;
  centre: Vector;
  mmPerDot: number;
}

interface Frame {
  right: Vector;
  up: Vector;
  towards: Vector;
}

/** Arrays that the painter takes, three or one number a vertex, and triangles. */
interface Arrays {
  place?: Float32Array;
  normal?: Float32Array;
  value?: Float32Array;
  along?: Float32Array;
  index?: Uint32Array;
}

/** A face as it is drawn. */
interface DrawnFace {
  place: Float32Array;
  normal: Float32Array;
}

interface Shape {
  vao: WebGLVertexArrayObject;
  buffers: Record<string, WebGLBuffer>;
  count: number;
}

interface Painter {
  gl: WebGL2RenderingContext;
  canvas: HTMLCanvasElement;
  program: WebGLProgram;
  uniforms: Record<string, WebGLUniformLocation | null>;
  ramps: Map<string, WebGLTexture>;
}

/** How a shape is drawn: the uniforms of the programs. */
interface How {
  view: Float32Array;
  towards: Vector;
  range: Interval;
  kept?: Interval;
  colour?: number[];
  ramp: string;
  behind?: boolean;
}

/** Vertices while they are collected. */
interface Strip {
  place: number[];
  normal: number[];
  value: number[];
  along: number[];
  index: number[];
}

interface Arrow {
  tip: Vector;
  direction: Vector;
  size: number;
  heads: number;
  load: Load;
}

/** A word over the picture. */
interface Word {
  x: number;
  y: number;
  text: string;
  kind: string;
  /** Numbers of limits before it. */
  circle?: string;
  /** A second line. */
  second?: string;
}

interface Dot {
  x: number;
  y: number;
}

interface View {
  root: HTMLElement;
  canvas: HTMLCanvasElement;
  painter: Painter;
  scene: Scene;
  store: ViewStore;
  linear: { sheet: Sheet; flat: Flat };
  /** Whether the bar needs height more than width. */
  deep: boolean;
  scenes: Scene[];
  camera: Camera;
  cases: Map<string, Promise<ReadCase>>;
  /** Called after each change. */
  shown: (() => void)[];
  shapes: Record<string, Shape>;
  forget(): void;
  /** What is drawn on: the linear sheet or that of a path. */
  sheet: Sheet;
  flat: Flat;
  /** The case shown; null where the design has none of that name. */
  now: ReadCase | null;
  field: Field;
  step: ReadStep | null;
  range: Interval;
  times: number;
  faces: DrawnFace[];
  /** The field's values on outer and inner surface, as shown. */
  values: Columns;
  arrows: Arrow[];
  preview: FieldPreview | null;
}

/** A view that shows a case. */
type ShownView = View & { now: ReadCase };

/* Other walls and loads: studies/page/preview.py. */

interface FollowPart {
  share: number;
  terms: number[];
  place: string;
  at: { s_mm: number; theta_rad: number; surface: Surface } | null;
}

interface Follow {
  parts: FollowPart[];
  /** Of a design that was left out, %. */
  error: number;
}

type PreviewFigure = Follow & { value: number };

interface PreviewLimit {
  name: string;
  range: number[];
  verified: boolean;
  place: string;
  follow: Follow | null;
}

interface PreviewField extends PackedReals {
  error: number;
}

interface PreviewCase {
  id: string;
  title: string;
  deflection: PreviewFigure;
  stiffness: PreviewFigure | null;
  peak: PreviewFigure | null;
  limits: PreviewLimit[];
  fields: Record<string, PreviewField>;
}

interface PreviewGroup {
  label: string;
  paths: string[];
  walls_mm: number[];
  low: number;
  high: number;
}

interface PreviewGrid {
  s_mm: number[];
  angles: number;
  share: number[];
}

interface Preview {
  groups: PreviewGroup[];
  powers: number[][];
  command: string;
  mass: PreviewFigure;
  together: (Follow & { range: number[] }) | null;
  cases: PreviewCase[];
  grid: PreviewGrid;
}

interface GoverningLimit {
  limit: PreviewLimit;
  title: string;
  range: number[];
  place: string;
  error: number;
}

interface PreviewRow {
  name: string;
  before: string;
  now: string;
  change: number | null;
  place: string;
  error: number | null;
}

/** Where vertices lie in the grid: four places each, their weights, the first group's share. */
interface GridPlaces {
  places: Uint32Array;
  weights: Float32Array;
  first: Float32Array;
}

interface FieldPreview {
  preview: Preview;
  read(caseId: string, fieldId: string): Promise<Columns | null>;
  values(values: Columns, changes: Columns, state: ViewState): Columns;
}

/** Controls of a view, by their data-part. */
interface ControlParts {
  case: HTMLSelectElement;
  field: HTMLSelectElement;
  surface: HTMLSelectElement;
  stretch: HTMLInputElement;
  step: HTMLInputElement;
  undeformed: HTMLInputElement;
  cut: HTMLInputElement;
  "cut-at": HTMLInputElement;
  "place-s": HTMLInputElement;
  "place-theta": HTMLInputElement;
  /** Not on the comparison's page. */
  "same-colours"?: HTMLInputElement;
  play: HTMLElement;
  whole: HTMLElement;
  "true-scale": HTMLElement;
  "stretch-label": HTMLElement;
  "step-label": HTMLElement;
  "scale-words": HTMLElement;
  "cut-words": HTMLElement;
  reading: HTMLElement;
  "section-words": HTMLElement;
  "legend-title": HTMLElement;
  "legend-note": HTMLElement;
  "legend-bar": HTMLElement;
  "legend-ticks": HTMLElement;
}

/** The comparison's page. */
interface ComparisonPage {
  store: ViewStore;
  designs: Scene[];
  shared: { camera: Camera; scenes: Scene[] };
  ramps: Record<string, Uint8Array>;
  views: View[];
  refresh?: () => void;
  /** Write case and views into the address. */
  keep?: () => void;
}

/* A sweep's page: studies/sweeps/sweep_page.py. */

type Value = number | string | boolean | null;

interface Column {
  key: string;
  name: string;
  kind: string;
  decimals: number;
  set: string;
  /** "less" or "more" is better; empty for neither. */
  better: string;
  /** Value at which the load itself is the limit. */
  level: number | null;
  values: Value[];
}

/** A kind of limit of all designs: studies/sweeps/design_limits.py. */
interface SweepLimit {
  name: string;
  gloss: string;
  factors: (number | null)[];
  middles: (number | null)[];
  /** Numbers of the nearest case of each design. */
  cases: (number | null)[];
}

/** The field of a plot, in dots. */
interface Box {
  left: number;
  right: number;
  top: number;
  bottom: number;
}

interface SweepState {
  x: string;
  y: string;
  /** The column that colours the dots; empty for none. */
  colour: string;
  axes: string[];
  ranges: Record<string, Interval>;
  picked: number | null;
}

type SweepStore = Store<SweepState>;

interface SweepData {
  file: string;
  columns: Column[];
  first: { x: string; y: string; axes: string[] };
  front: number[];
  governing: string;
  /** Whether there is a design to choose; samples are one bar within its tolerances. */
  choice: boolean;
  limits: SweepLimit[];
  cases: string[];
  baseline: { design: number; of_study: "own" | "nearest" | "unknown" } | null;
}

/** An axis from one place of a drawing to another. */
interface Scale {
  rank(value: Value): number | null;
  words: string[] | null;
  /** Least and greatest of the column. */
  ends: Interval;
  place(value: Value): number | null;
  rankAt(place: number): number;
  ticks: [number, string][];
  atRank(at: number): number;
}

interface Table extends Omit<SweepData, "columns"> {
  columns: Map<string, Column>;
  drawn: Column[];
  count: number;
  best: Set<number>;
  column(key: string): Column;
  value(key: string, design: number): Value;
  scale(key: string, low: number, high: number, most?: number): Scale;
  /** As `scale`; the value where the load is the limit is on it. */
  scaleWithLevel(key: string, low: number, high: number, most?: number): Scale;
  /** As `scale`, from the designs alone that have a figure. */
  scaleOfDrawn(key: string, figure: string, low: number, high: number, most?: number): Scale;
  colours(key: string): (string | null)[];
  before(design: number): boolean;
  kept(design: number, ranges: Record<string, Interval>): boolean;
}

/** An upright axis of the plot of lines. */
interface Line {
  key: string;
  x: number;
  scale: Scale;
  column: Column;
}

/** A design's dot. */
interface DesignDot {
  design: number;
  left: number;
  top: number;
}

/** Parts of a sweep's page, by their data-part. */
interface SweepParts {
  x: HTMLSelectElement;
  y: HTMLSelectElement;
  number: HTMLInputElement;
  drop: HTMLButtonElement;
  colour: HTMLSelectElement;
  "colour-key": HTMLElement;
  ladder: HTMLElement;
  multiples: HTMLElement;
  "each-title": HTMLElement;
  scatter: SVGSVGElement;
  picked: HTMLElement;
  "range-axis": HTMLSelectElement;
  "range-from": HTMLInputElement;
  "range-to": HTMLInputElement;
  "range-clear": HTMLButtonElement;
  "range-words": HTMLOutputElement;
  "parallel-axes": SVGSVGElement;
  axes: HTMLElement;
}

type FindPart = <Name extends keyof SweepParts>(name: Name) => SweepParts[Name];

/** A triangle under a dot, and how near it is to the eye. */
interface Hit extends Corners {
  near: number;
}

/** Vertices as seen: dots to the right, up, and mm towards the eye. */
interface Projected {
  x: Float32Array;
  y: Float32Array;
  z: Float32Array;
}

/** A point of a cross-section. */
interface SectionPoint {
  theta: number;
  outer: Vector;
  inner: Vector;
  value: number[];
}

/** A place whose value is marked. */
interface MarkedPlace {
  value: number;
  s_mm: number;
  theta_rad: number;
  surface: Surface;
}

/** A surface as it is drawn, three numbers a vertex. */
interface SurfacePlaces {
  name: Surface;
  place: Float32Array;
}
